#pragma once

#include <map>
#include <vector>

#include "propose/propose.h"

namespace revwright {

/// The largest part each cell of a table makes of a full-load reading; 0 = out of reach.
struct Reach {
    std::vector<double> any;     // over all pulls, and over the next breakpoint of engine speed below and above them
    std::vector<double> loaded;  // only where the cylinders are filled: charge as lambda-lean judges it (kFilledShare)
};
Reach full_load_reach(const ProposeInput& input, const Table& table);

/// The cells read between two times of a log, with the largest part they made of any reading. Where the log cannot
/// place the table, all cells at the breakpoints around `speed_rpm`, or the whole table if it has no speed axis.
std::map<std::size_t, double> cells_read(const ProposeInput& input, const Table& table, std::size_t log, double from_s,
                                         double to_s, double speed_rpm);

}  // namespace revwright
