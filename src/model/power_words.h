#pragma once

#include <string>
#include <vector>

#include "model/power.h"

namespace revwright {

// What a power report says, in the sentences that terminal and drawing share. Intervals stand in brackets.

/// "road load".
std::string in_words(PowerMethod method);
/// 5850 -> "5,850".
std::string speed_in_words(double rpm);
/// "150.7 kW (144.9 to 156.3)" and the same with " at 5,850 rpm".
std::string power_in_words(const PowerPeak& peak, bool at_speed = true);
std::string torque_in_words(const PowerPeak& peak, bool at_speed = true);

/// The set the report is about; nothing in a report without any.
const PowerSet* last_set(const PowerReport& report);

/// The figures of the last set as measured, or that none can be stated.
std::string power_headline(const PowerReport& report);
/// The same figures corrected; empty where the set is not corrected.
std::string corrected_in_words(const PowerSet& set);
/// Where a peak lies at an end of its curve, that the engine may make more beyond; empty where none does.
std::string peaks_at_ends_in_words(const PowerSet& set);
/// Half the 95 % interval of peak power as measured, in percent of it; 0 where there is none.
double absolute_accuracy_pct(const PowerSet& set);

/// What the later set gains in peak power and torque; a gain whose interval holds none is said to be possibly none.
std::string difference_in_words(const PowerReport& report, const PowerDifference& difference);
/// How sure each figure is alone, and how sure the two are against each other.
std::string accuracies_in_words(const PowerReport& report, const PowerDifference& difference);

/// One sentence for each figure the job asks for. The goal is held against the figures in `combined`.
std::vector<std::string> goals_in_words(const PowerReport& report);

}  // namespace revwright
