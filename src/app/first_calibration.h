#pragma once

#include <span>

#include "model/evidence.h"
#include "model/job.h"
#include "model/proposal.h"
#include "model/table.h"

namespace revwright::app {

/// How far the first calibration for changed hardware steps back, before anything of it has been seen.
struct Caution {
    double spark_deg = 1.5;
    double lambda = 0.03;
    double richest_lambda = 0.76;
};

/// A first calibration for changed hardware, to the safe side only: at and above the charge that full load reached on
/// the standard car, less spark and a richer mixture. A hand-made proposal with its reasons, to be approved like any
/// other.
Proposal first_calibration(const JobSheet& job, const TableSet& standard, std::span<const TableEvidence> evidence,
                           const Caution& caution);

}  // namespace revwright::app
