#pragma once

#include <span>
#include <string>

#include "core/error.h"
#include "image/parameter_reader.h"
#include "model/description.h"
#include "model/job.h"
#include "model/parameter_reading.h"

namespace revwright {

/// The parameters of one image that are tables to us: writable, and of cells and axes whose channels are known. In the
/// units of those channels, with the addresses and axis lengths of this image. An axis that does not lie in memory as
/// plain rising points (steps, fixed points) is given by its values.
Description tables_of_parameters(const ParameterSet& set, const ImageParameters& parameters);

/// Why a parameter is no table to us: that it can not be written, or which key of the job sheet's [image.quantities]
/// would say what it holds. Empty where it is one, or where no parameter has the name.
std::string why_no_table(const ParameterReading& reading, std::string_view name);

/// Every table that a role of the job sheet names is a table to us. Errors, at the role: unknown to the description, or
/// why_no_table.
Result<void> check_roles(const ImageEntry& entry, const ParameterReading& reading);

/// The tables that roles name have in `found` the shape they have in `standard`, both out of one set. Errors, naming
/// the image: one that is none there, or has axes of another length.
Result<void> same_tables(const ImageEntry& entry, const Description& standard, const Description& found,
                         const Image& image);

}  // namespace revwright
