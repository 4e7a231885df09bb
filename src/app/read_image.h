#pragma once

#include <string>

#include "app/open_job.h"

namespace revwright::app {

struct ImageTables {
    OpenJob job;
    TableSet tables;
};

/// The tables of an image of the job (the standard one if none is named) in physical units.
/// `table` empty = all; a name the description does not hold is refused.
Result<ImageTables> read_image(const Path& job, const std::optional<Path>& image, const std::string& table);

}  // namespace revwright::app
