#pragma once

#include "core/error.h"
#include "model/description.h"
#include "model/image.h"
#include "model/table.h"

namespace revwright {

/// One table of an image in physical units, with the counts they came from.
///
/// Errors, with the place in the description: table or axis outside the image, axis that does not rise, a float cell
/// that is no finite number, a description that contradicts itself (shape against axes, factor 0).
Result<Table> read_table(const TableDescription& description, const Image& image);

/// All tables of the description, in its order. The first error ends it; two tables of one name are refused.
Result<TableSet> read_tables(const Description& description, const Image& image);

}  // namespace revwright
