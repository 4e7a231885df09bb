#pragma once

#include "app/open_job.h"
#include "model/card.h"

namespace revwright::app {

/// The technician's page for the next run with this image. What must keep the car in the workshop (a wrong checksum,
/// bytes changed outside every table, a record of another image, tyres too slow) stands in `in_the_way`.
///
/// Errors: a job without [image], an image of another size than the job's, a record beside it that cannot be read.
Result<TechnicianCard> technician_card(const Path& job, const Path& image);

/// The card as HTML. Refuses to write over a source.
Result<void> write_card(const TechnicianCard& card, const Path& file, std::span<const Path> sources);

}  // namespace revwright::app
