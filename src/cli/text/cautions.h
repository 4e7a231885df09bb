#pragma once

#include <string>

namespace revwright::cli::text {

/// The cautions every plan, proposal and report carries, once per page.
std::string cautions();

}  // namespace revwright::cli::text
