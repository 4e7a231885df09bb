#pragma once

namespace revwright {

/// Upper end of the one-sided Clopper-Pearson interval for the rate of a rare event: BetaInv(confidence; k + 1, n - k).
///
/// events     k >= 0, need not be whole: an event between breakpoints is shared out over its cells
/// trials     n >= 0
/// confidence 0..1, 0.95 for the policy's bound
/// Returns 1 where nothing is known (n = 0) or every trial was an event (k >= n).
/// Source: Clopper and Pearson, Biometrika 26 (1934) 404-413; the beta form carries over to counts that are not whole.
double rate_upper_bound(double events, double trials, double confidence);

/// Lower end, BetaInv(1 - confidence; k, n - k + 1); 0 where k = 0 or n = 0.
double rate_lower_bound(double events, double trials, double confidence);

}  // namespace revwright
