#pragma once

#include <span>

#include "core/error.h"
#include "model/comparison.h"
#include "model/description.h"
#include "model/image.h"
#include "model/job.h"

namespace revwright {

/// Image b against image a: cells and axis points that differ, bit for bit, in physical units; every declared checksum
/// of both; and the bytes that differ outside all of these.
///
/// Errors: images of different size or base address, and whatever read_tables and check_all refuse of either.
Result<Comparison> compare(const Description& description, std::span<const ChecksumRegion> regions, const Image& a,
                           const Image& b);

}  // namespace revwright
