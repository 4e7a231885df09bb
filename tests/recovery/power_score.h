#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "recovery/power_cases.h"

namespace revwright {

/// What the estimator made of one curve, or of the difference between two, inside the end knots.
struct CurveJudged {
    double points = 0.0, inside = 0.0;
    double squares_pct = 0.0;  // of the errors, in percent of the true torque, added over the points
    double sd_pct = 0.0;       // as claimed, added likewise
    double rms_pct() const;
};

struct PeakJudged {
    double error_pct = 0.0;  // of the truth
    double half_width_pct = 0.0;
    bool inside = false;
};

struct PowerCaseJudged {
    std::string name = {}, kind = {}, channels = {};
    double rate_hz = 0.0;
    std::string failed = {};  // why there is no figure
    std::vector<CurveJudged> curves = {}, differences = {};
    std::vector<PeakJudged> power = {}, torque = {};  // of each curve
};

PowerCaseJudged judge(const PowerCase& of);

/// Means over cases. Coverages are of 95 % intervals.
struct PowerTally {
    int cases = 0, failed = 0, curves = 0, differences = 0;
    double curve_squares = 0.0, curve_inside = 0.0, claimed_sd = 0.0;  // of each curve its mean over the points
    double difference_squares = 0.0, difference_inside = 0.0;
    std::vector<PeakJudged> power = {}, torque = {};

    void add(const PowerCaseJudged& one);
    double torque_rms_pct() const;
    double torque_inside_pct() const;
    double difference_rms_pct() const;
    double difference_inside_pct() const;
};

double mean_error_pct(const std::vector<PeakJudged>& peaks);
double inside_pct(const std::vector<PeakJudged>& peaks);
double median_error_pct(const std::vector<PeakJudged>& peaks);  // of their sizes

struct PowerScore {
    PowerTally all;
    std::map<std::string, PowerTally> by_kind, by_rate, by_channels;
    std::vector<std::string> failures;

    void add(const PowerCaseJudged& one);
};

/// The n-th of a row of cases in which a sixth are of a known car and the others follow in turn.
PowerCase nth_power_case(int nth, std::uint64_t seed);

}  // namespace revwright
