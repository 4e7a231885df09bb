#pragma once

#include <string>
#include <vector>

namespace revwright::draw {

/// What an axis runs from and to; high above low.
struct Extent {
    double low = 0.0, high = 1.0;
};

/// A straight map from a quantity to a place on the drawing; `to` may lie before `from`, as y does.
struct Scale {
    Extent of = {};
    double from = 0.0, to = 1.0;
    double operator()(double value) const { return from + (value - of.low) / (of.high - of.low) * (to - from); }
};

/// Round values inside the extent, about `wanted` of them: steps of 1, 2 or 5 times a power of ten.
std::vector<double> ticks(const Extent& extent, int wanted);

/// The ticks as a reader writes them: as many decimals as their step needs, thousands set apart by a comma.
std::vector<std::string> tick_labels(const std::vector<double>& ticks);

/// 4254.3 -> "4,254".
std::string with_thousands(double value);

}  // namespace revwright::draw
