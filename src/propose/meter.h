#pragma once

#include <optional>
#include <string>
#include <vector>

#include "propose/propose.h"

namespace revwright {

/// What is proposed for the meter curve of a housing that was changed and not rescaled.
struct MeterCorrection {
    std::optional<ProposedTable> table = {};      // set: every lean finding of that cause is answered by it
    std::optional<ProposalRefusal> refused = {};  // set: the findings blame the meter, and why the curve stays
};

/// Whether a finding is a mixture leaner than its target, with the air meter among what may cure it.
bool blames_meter(const Finding& finding);

/// A meter in a wider housing reads too little air at the same signal, by the ratio of the free areas (CHECKS 4, first
/// principles), and the mixture follows lean by as much at every load. Where the parent's runs show that, the whole
/// curve is raised by the measured ratio lambda / expected lambda (delay and lag removed, mean over the pulls), never
/// by more than 3 % beyond what the housing explains, and rounded to the rich side.
///
/// Refused: no changed housing in the job sheet that was left unscaled (then meter, injectors or fuel pressure may be
/// at fault, which a log cannot tell), a ratio beyond what the housing explains, no curve that can be written.
MeterCorrection meter_correction(const ProposeInput& input);

}  // namespace revwright
