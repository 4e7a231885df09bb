#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "app/book_steps.h"

namespace revwright::app {

// What the steps of a job have in common.

/// Writes the entry if it can happen to the job as it was seen, and tells the story as it stands then.
Result<JobStory> record(book::Book& book, const JobStory& seen, const Who& who, Happening what);

/// The same for what does not depend on what others do meanwhile, as two runs do not: where somebody was faster it is
/// looked at again.
Result<JobStory> record_beside_others(book::Book& book, JobStory seen, const Who& who, const Happening& what);

Result<KeptFile> keep_file(book::Book& book, std::string name, const Path& path);

std::string_view text_of(const std::vector<std::uint8_t>& bytes);

}  // namespace revwright::app
