#pragma once

#include "formats/a2l/blocks.h"

namespace revwright::a2l {

/// AXIS_DESCR, as blocks.h says.
std::optional<RawAxis> read_axis(Cursor& cursor, const Token& block);

}  // namespace revwright::a2l
