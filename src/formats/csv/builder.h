#pragma once

#include <string>

#include "formats/csv/body.h"
#include "formats/csv/header.h"
#include "model/log.h"

namespace revwright::csv {

/// The columns as channels, each on its time base, with what was lost and what is doubtful about the clocks.
Log build_log(Header header, Body body, const std::string& file);

}  // namespace revwright::csv
