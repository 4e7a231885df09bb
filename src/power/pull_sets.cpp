#include "power/pull_sets.h"

#include <algorithm>

namespace revwright {
namespace {

std::optional<Digest> digest_of(const RunView& run) {
    if (run.driven.tables) return run.driven.tables->image;
    return run.driven.run ? run.driven.run->image_sha256 : std::nullopt;
}

std::string name_of(const RunView& run) {
    if (run.driven.run == nullptr) return "an image that no [[run]] names";
    if (run.driven.standard) return "the standard image";
    return run.driven.run->image.empty() ? "an image that is named by its digest only" : run.driven.run->image;
}

}  // namespace

std::vector<ImageRuns> sets_of(std::span<const RunView> runs) {
    std::vector<ImageRuns> sets;
    for (const RunView& run : runs) {
        const auto digest = digest_of(run);
        auto found = std::ranges::find(sets, digest, &ImageRuns::digest);
        if (found == sets.end()) found = sets.insert(sets.end(), {name_of(run), digest, {}, run.driven.standard});
        found->runs.push_back(run.index);
    }
    return sets;
}

}  // namespace revwright
