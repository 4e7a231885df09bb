#pragma once

#include <span>

#include "core/error.h"
#include "image/parameter_reader.h"
#include "model/comparison.h"
#include "model/image.h"
#include "model/job.h"

namespace revwright {

/// Image b against image a, over every parameter of a description, writable or not: cells, axis points, words and texts
/// that differ, in the units of the readings; every declared checksum of both; and the bytes that differ in no
/// parameter and no checksum. Points of an axis of its own (AXIS_PTS) are told under its name, once.
///
/// Errors: images of different size or addresses; a parameter that lies elsewhere, or has another shape, in one of them
/// than in the other (an axis count in memory has changed): its cells can not be held against each other.
Result<Comparison> compare_parameters(const ParameterSet& set, std::span<const ChecksumRegion> regions, const Image& a,
                                      const ImageParameters& in_a, const Image& b, const ImageParameters& in_b);

}  // namespace revwright
