#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/error.h"
#include "model/comparison.h"
#include "model/image.h"
#include "model/job.h"

namespace revwright {

/// Where a checksum is stored: 1, 2 or 4 bytes by its kind, in the region's byte order.
ByteRange store_range(const ChecksumRegion& region);

/// The declaration makes sense for this image: region and store inside it, whole words, CRC parameters inside the
/// width, no checksum over its own store, no two stored over each other. Errors carry the place in the job sheet.
Result<void> check_regions(std::span<const ChecksumRegion> regions, const Image& image);

/// The checksum of the region's bytes: words of 1, 2 or 4 bytes added up and cut to the sum's width, or a CRC byte by
/// byte; then the complement. Precondition: check_regions.
std::uint32_t compute(const ChecksumRegion& region, const Image& image);

/// Every declared checksum as stored and as computed, in the order declared. Errors of check_regions.
Result<std::vector<ChecksumState>> check_all(std::span<const ChecksumRegion> regions, const Image& image);

/// Indices of the regions in an order in which each is computed after every checksum that is stored inside it. An Error
/// where checksums lie inside each other's regions in a ring.
Result<std::vector<std::size_t>> settling_order(std::span<const ChecksumRegion> regions);

/// Stores every checksum anew, in settling_order. The image's digest is left to the caller.
Result<void> settle(std::span<const ChecksumRegion> regions, Image& image);

}  // namespace revwright
