#pragma once

#include <string>

#include "app/open_job.h"
#include "model/comparison.h"
#include "model/revision.h"

namespace revwright::app {

/// Who approves every moved cell of a proposal, and when (ISO 8601, UTC). Empty name: only the approvals in the file.
struct ApproveAll {
    std::string by;
    std::string at_utc;
};

/// Builds the approved cells of a proposal on its parent (the standard image if none is named), writes the image to
/// `out` and its record to `out`.json. Nothing is written if anything is refused.
Result<BuiltImage> build_image(const Path& job, const Path& proposal, const std::optional<Path>& parent,
                               const Path& out, const ApproveAll& approve_all);

/// Restores the parent of a built image from the record beside it, and writes it to `out`.
Result<Image> undo_image(const Path& job, const Path& image, const Path& record, const Path& out);

struct ComparedImages {
    OpenJob job;
    Comparison comparison;
};
Result<ComparedImages> compare_images(const Path& job, const Path& a, const Path& b);

/// Whether the images differ where no change could put a difference, or a declared checksum does not hold.
bool stands_in_the_way(const Comparison& comparison);

}  // namespace revwright::app
