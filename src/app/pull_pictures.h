#pragma once

#include <string>
#include <vector>

#include "app/open_job.h"
#include "model/pull_picture.h"
#include "model/review.h"

namespace revwright::app {

/// A picture and the name of its file: "run-1-pull-2.svg", of log and pull.
struct NamedPicture {
    std::string file;
    PullPicture picture;
};

/// One picture for each pull of the review, with the worst point of each of its findings marked; the other pulls of the
/// same image are drawn thin. `logs` are those the review was made of.
std::vector<NamedPicture> pull_pictures(const JobSheet& job, std::span<const DrivenLog> logs,
                                        std::span<const std::optional<Digest>> images, const Review& review);

/// Draws them into a folder, which is made if need be. Returns the files written. Refuses to write over a source.
Result<std::vector<Path>> write_pictures(const std::vector<NamedPicture>& pictures, const Path& folder,
                                         std::span<const Path> sources);

/// review_logs(), and the pictures of its pulls in `folder`.
struct PicturedReview {
    Review review;
    std::vector<Path> pictures;
};
Result<PicturedReview> review_with_pictures(const Path& job, std::span<const Path> logs,
                                            const std::optional<Path>& channel_sheet, const Path& folder);

}  // namespace revwright::app
