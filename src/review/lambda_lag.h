#pragma once

#include <span>
#include <vector>

#include "model/job.h"
#include "model/log.h"
#include "model/review.h"
#include "review/derived.h"

namespace revwright {

/// How late the lambda probe tells what was commanded: a pure delay that shrinks with exhaust flow, then a first-order
/// lag. Only the sum is well determined by a pull (METHODS 4.2), and the spread is that of the sum.
struct LambdaLag {
    double delay_s = 0.0;      // at the middle of the flows seen in the pulls
    double flow_term = 0.0;    // b in delay = a + b / flow: in grams, or in cycles where flow is not logged
    double lag_s = 0.0;        // time constant of the probe
    double total_sd_s = 0.0;   // of delay + lag
    bool identified = false;   // false: the target moved too little to tell, and the prior is used
    double mid_flow = 1.0;     // the flow delay_s holds at
    bool flow_logged = false;  // flow is air_mass_flow_g_s; else engine cycles per second, N / 120

    double total_s() const { return delay_s + lag_s; }
    /// The delay at another flow; never negative.
    double delay_at(double flow) const;
};

/// Delay and lag from the pulls of one log, by variable projection: on a grid of delay and lag, refined around the
/// best, offset and gain of the probe are solved in closed form and the residual decides.
/// Prior: one cycle and 60 ms of transport and probe at mid flow (METHODS 4.1), 40 ms standard deviation.
LambdaLag identify_lambda_lag(const Log& log, std::span<const Pull> pulls, const Engine& engine);

/// What a perfect mixture would have made the probe show: the logged target, delayed and lagged, at each sample time of
/// `lambda`. NaN where the target is not known; empty where it is not logged.
std::vector<double> expected_lambda(const Log& log, const LambdaLag& lag, const Channel& lambda, const Engine& engine);

/// The same for the samples from..to alone (blanks left out), settled one second before.
struct LambdaPair {
    Samples measured;
    std::vector<double> expected;  // one per sample; NaN where the target is not known
};
LambdaPair lambda_within(const Log& log, const LambdaLag& lag, const Channel& lambda, double from, double to);

}  // namespace revwright
