#pragma once

#include <string_view>

#include "app/open_job.h"
#include "image/parameter_reader.h"
#include "model/comparison.h"

namespace revwright::app {

/// Whether a description is A2L, by its text: it begins, after blanks, comments and a byte order mark, with a keyword
/// of that language. A table sheet never does.
bool is_a2l(std::string_view text);

/// Reads the description of a job out of its text: table sheet or A2L. Of an A2L the standard image is opened, too,
/// because how long its axes are may stand there; what it includes is read from its own folder and no other place.
/// Errors: what the reader of either refuses, a role whose table is not understood (unless roles are only listed).
Result<void> read_description(OpenJob& job, const Path& file, std::string_view text, RolesAre roles);

/// Opens the standard image of the sheet. Errors name the key.
Result<void> open_standard(OpenJob& job);

/// The tables of an image of the job. From an A2L they are laid out over this image; refused where a table with a role
/// has another shape than in the standard image. Precondition: the job was opened with its image.
Result<Description> description_of(const OpenJob& job, const Image& image);
Result<TableSet> tables_of(const OpenJob& job, const Image& image);

/// Every parameter of an A2L in an image. Precondition: job.parameters.
ImageParameters parameters_of(const OpenJob& job, const Image& image);

/// Two images of the job held against each other: over every parameter of an A2L, over the tables of a sheet.
Result<Comparison> compare_in(const OpenJob& job, const Image& a, const Image& b);

}  // namespace revwright::app
