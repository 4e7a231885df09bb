#pragma once

#include <vector>

#include "power/road_drive.h"

namespace revwright {

/// Speed and acceleration at the times of the samples, each with the standard deviation that the samples leave it.
struct SmoothedSpeed {
    std::vector<double> time_s = {};
    std::vector<double> speed = {}, speed_sd = {};
    std::vector<double> acceleration = {}, acceleration_sd = {};
    double noise = 0.0;      // of one sample, found in the data
    double jerk_walk = 0.0;  // by how much the jerk wanders in a second, as its root; found in the data
};

/// Speed and acceleration out of noisy speed samples, in whatever unit they have; the samples may be spaced unevenly.
///
/// State: speed, acceleration and jerk, white noise driving the jerk. Kalman's filter forwards, the smoother backwards;
/// noise and wandering are those that make the samples most probable, found by a search that always takes the same way.
/// The standard deviations take these two as known, which makes them a little too small.
/// Sources: [RauchTungStriebel1965], [Kalman1960] (both from memory).
/// Precondition: at least eight samples, times strictly rising.
SmoothedSpeed smooth_speed(const SpeedSamples& samples);

}  // namespace revwright
