#pragma once

#include <string>

#include "model/log.h"

namespace revwright::sheets {

/// A channel sheet for the logger of this log, ready to complete: named channels as rows, those that stayed open as
/// rows in comments with their candidates and the reason, and the others listed. read_channel_sheet() reads it, and a
/// log named by it has the same samples. A name that stands twice in the log can be in no sheet, and is said so.
std::string write_channel_sheet(const Log& log);

}  // namespace revwright::sheets
