#pragma once

#include <cstddef>
#include <vector>

#include "model/job.h"
#include "model/log.h"

namespace revwright {

/// What finding pulls needs, brought to the sample times of engine speed. All vectors are equally long; NaN = unknown.
struct PullTrack {
    std::vector<double> times;
    std::vector<double> speed;    // engine, rpm, single wild samples removed
    std::vector<double> pedal;    // percent; the throttle where no pedal is logged
    std::vector<double> request;  // torque wanted, Nm
    std::vector<double> oil;      // C
    std::vector<int> gear;        // the gear in mesh; 0 = between gears, slipping, or not known
    std::vector<double> slip;     // engine speed over what road speed says in that gear, less 1
    std::vector<double> input;    // gearbox input over engine speed, less 1
    std::vector<double> wheels;   // wheel speed over satellite speed, less 1
    bool gear_known = false;      // a gear channel or a road speed is there
    std::size_t size() const { return times.size(); }
};

/// Empty where engine speed, or both pedal and throttle, are not logged.
/// on_road false: wheels turn a roller, and a satellite receiver stands still.
PullTrack pull_track(const Log& log, const Car& car, bool on_road = true);

}  // namespace revwright
