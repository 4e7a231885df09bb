#pragma once

#include <string>
#include <string_view>

#include "core/error.h"
#include "model/job.h"

namespace revwright::sheets {

/// Reads a job sheet (TOML, schema "revwright.job/1"; docs/formats/job-sheet.md has every key). `file` only names the
/// sheet in errors. Any unknown key, wrong type, value outside its plausible range or contradiction is an error with
/// line and column; the first one found is returned. Defaults taken are listed in JobSheet::defaults_used.
Result<JobSheet> read_job(std::string_view text, const std::string& file);

}  // namespace revwright::sheets
