#pragma once

#include <map>
#include <vector>

#include "propose/propose.h"

namespace revwright {

/// For each cell of the table, the largest part of a full-load reading it makes: over all pulls, and over the next
/// breakpoint of engine speed below and above them, where the next pull may begin or end. 0 = out of reach.
std::vector<double> full_load_reach(const ProposeInput& input, const Table& table);

/// The cells read between two times of a log, with the largest part they made of any reading. Where the log cannot
/// place the table, all cells at the breakpoints around `speed_rpm`, or the whole table if it has no speed axis.
std::map<std::size_t, double> cells_read(const ProposeInput& input, const Table& table, std::size_t log, double from_s,
                                         double to_s, double speed_rpm);

}  // namespace revwright
