#pragma once

#include <cstddef>
#include <string_view>

#include "core/workers.h"

namespace revwright::csv {

/// What must be known of the whole text before any of it is read.
struct Survey {
    std::size_t line_feeds = 0;
    bool has_zero = false;  // a byte of zero, as in a binary file
};
Survey survey(std::string_view text, const Workers& workers);

}  // namespace revwright::csv
