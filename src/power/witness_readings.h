#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "power/torque_estimate.h"
#include "review/run_view.h"

namespace revwright {

/// What the car itself says of its torque under full load, beside what the road says.
struct Witness {
    std::optional<TorqueEstimate> estimate = {};
    std::string refused = {};  // one sentence, where there is none
    bool combined = true;      // may be combined with other methods
    std::string why_not = {};
};

/// From the air meter and the lambda probe of these runs.
Witness air_flow_witness(std::span<const RunView* const> runs);

/// The control unit's own torque. It leaves the combination where the tables that it is worked out from differ from the
/// standard image, or where that cannot be told.
///
/// Source of its spread: a bus definition that allows 10 %, and 5 Nm below 50 Nm, with 30 ms of delay (second hand,
/// weak); taken as a 90 % interval.
Witness control_unit_witness(std::span<const RunView* const> runs);

}  // namespace revwright
