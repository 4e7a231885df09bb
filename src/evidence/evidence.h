#pragma once

#include <span>
#include <vector>

#include "model/driven.h"
#include "model/evidence.h"
#include "model/job.h"
#include "model/review.h"
#include "model/table.h"

namespace revwright {

/// What the pulls say about each visited cell of the spark, lambda target and boost target tables of the job.
///
/// parent   the image the next revision starts from: its axes place the evidence, and only what was driven with the
///          parent's value in a cell raises that cell. Knock at a spark no later than the parent's counts against it
///          whatever image it was driven with; of knock at more spark the cell keeps where it began.
/// A log that no run ties to an image adds knock but no events. A table read only under a condition (`when`) gets knock
/// only, because no log says when the control unit read it.
/// Tables whose axes a log cannot give are left out for that log. Pure; linear in the samples.
std::vector<TableEvidence> gather_evidence(const JobSheet& job, std::span<const DrivenLog> logs, const Review& review,
                                           const TableSet& parent);

}  // namespace revwright
