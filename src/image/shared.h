#pragma once

#include <span>
#include <vector>

#include "core/error.h"
#include "image/parameter_places.h"
#include "model/description.h"
#include "model/job.h"
#include "model/revision.h"

namespace revwright {

/// The cells whose bytes are to move touch nothing else the description or the job sheet declares: no other cell, no
/// axis point, no checksum. Where tables share bytes, changing one cell would silently change another: that is refused,
/// naming both. `others` are the bytes of all parameters the description was derived from, tables or not.
Result<void> moves_only_itself(std::span<const ChangedCell> moved, const Description& description,
                               std::span<const ChecksumRegion> regions, std::span<const NamedBytes> others = {});

}  // namespace revwright
