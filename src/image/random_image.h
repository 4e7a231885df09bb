#pragma once

#include <ostream>
#include <rapidcheck.h>
#include <vector>

#include "model/description.h"
#include "model/image.h"
#include "model/job.h"
#include "model/proposal.h"

namespace revwright {

/// An image for tests, with its description and checksums; all checksums match.
struct SampleImage {
    Description description = {};
    std::vector<ChecksumRegion> regions = {};
    Image image = {};
};

/// How a failed property prints its case.
inline void showValue(const SampleImage& sample, std::ostream& out) {
    out << sample.description.tables.size() << " tables, " << sample.regions.size() << " checksums, "
        << sample.image.bytes.size() << " bytes";
}

/// Any types, byte orders, layouts, shapes up to two dimensions, axes in memory or fixed, gaps of meaningless bytes,
/// and up to three checksums of which the last covers the stores of the others.
rc::Gen<SampleImage> sample_image();

/// Some cells of the sample moved to other counts, all of them proposed and approved.
rc::Gen<Proposal> approved_proposal(const SampleImage& sample);

}  // namespace revwright
