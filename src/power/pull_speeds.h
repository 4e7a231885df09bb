#pragma once

#include <string>

#include "core/error.h"
#include "power/road_drive.h"
#include "review/run_view.h"

namespace revwright {

/// The speeds of one pull that a fit may use: each sample a renewed one, under full load with the boost built up.
struct PullSpeeds {
    SpeedSamples engine_rad_s = {};
    SpeedSamples satellite_m_per_s = {};
    double from_rpm = 0.0, to_rpm = 0.0;  // of the engine over these samples
    std::string speed_of = {};            // the channels, for people
};

// What a pull must have to say anything of torque; our choice, common practice, no source.
inline constexpr std::size_t kLeastRenewals = 12;
inline constexpr double kLeastRenewalsHz = 2.5;

/// Errors (sentences to follow "pull 3"): the clock of the log does not tell when the samples were taken, the engine
/// speed is renewed too seldom, too few samples, a converter or clutch that slips.
Result<PullSpeeds> speeds_of(const PullView& view);

/// Rows repeat the last value of a slow channel: only those that bring a new one say when it was.
Samples renewed(const Channel& channel, const Samples& all);

/// Why the clock of the log cannot be integrated over this stretch; empty where it can.
std::string clock_fault(const Log& log, double from_s, double to_s);

/// From when on the charge is what full load gives: at nine tenths of the most that the pull reaches. Before that
/// torque depends on how the pull began, and is no curve over engine speed.
double built_up_from_s(const PullView& view);

}  // namespace revwright
