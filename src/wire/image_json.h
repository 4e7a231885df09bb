#pragma once

#include <string>
#include <string_view>

#include "core/error.h"
#include "model/comparison.h"
#include "model/job.h"
#include "model/revision.h"

namespace revwright::wire {

/// "revwright.compare/1".
std::string compare_json(const Comparison& comparison, const ImageEntry& entry);

/// "revwright.revision/1": what stands beside a built image. Its own and its parent's digest, every changed cell with
/// its warrant and who approved it, the checksums, and the inverse patch.
std::string revision_json(const BuiltImage& built);

/// The inverse patch out of a revision_json document.
Result<Patch> read_patch(std::string_view text, const std::string& file);

}  // namespace revwright::wire
