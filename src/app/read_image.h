#pragma once

#include <string>

#include "app/open_job.h"

namespace revwright::app {

struct ImageTables {
    OpenJob job;
    TableSet tables;
    std::optional<ParameterReading> parameters = {};  // of an A2L: every parameter, whether a table to us or not
};

/// The tables of an image of the job (the standard one if none is named) in physical units.
/// `table` empty = all; a name the description does not hold is refused.
Result<ImageTables> read_image(const Path& job, const std::optional<Path>& image, const std::string& table);

}  // namespace revwright::app
