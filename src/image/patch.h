#pragma once

#include "core/error.h"
#include "model/image.h"
#include "model/revision.h"

namespace revwright {

/// Every run of bytes in which child differs from parent. Precondition: same base address and size.
Patch difference(const Image& parent, const Image& child);

/// The parent that a child was built from, byte for byte. Refuses a child whose bytes are not those the patch expects:
/// it names the first address where they differ, or says that the image differs elsewhere.
Result<Image> undo(const Image& child, const Patch& patch);

}  // namespace revwright
