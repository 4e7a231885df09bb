#pragma once

#include <span>

#include "core/error.h"
#include "model/description.h"
#include "model/image.h"
#include "model/job.h"
#include "model/revision.h"
#include "model/table.h"

namespace revwright {

/// Reads a built image back and holds it against its parent, byte for byte and cell by cell, without trusting the steps
/// that built it. `changes` lists the cells that were to change. Any difference is a fault of the program.
Result<void> verify_build(const Image& parent, const TableSet& before, const Image& child,
                          std::span<const ChangedCell> changes, const Description& description,
                          std::span<const ChecksumRegion> regions);

}  // namespace revwright
