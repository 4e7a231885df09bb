#pragma once

#include <string_view>

#include "formats/sheets/field.h"

namespace revwright::sheets {

/// The sheet must name its kind and version before anything in it is believed.
void read_schema(Fields& sheet, std::string_view expected);

}  // namespace revwright::sheets
