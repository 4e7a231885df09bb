#include "evidence/operating_points.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace revwright {
namespace {

/// A sample farther away than this says nothing about now.
constexpr double kReachSeconds = 1.0;

/// Linear between samples; before the first and after the last the end holds for the reach.
double read(const Samples& samples, double t) {
    const Series series = samples.series();
    const auto before = index_at(series, t);
    const std::size_t next = before ? *before + 1 : 0;
    const bool has_next = next < series.size();
    const bool near_before = before && t - series.times[*before] <= kReachSeconds;
    const bool near_next = has_next && series.times[next] - t <= kReachSeconds;
    if (near_before && near_next) return value_at(series, t);
    if (near_before) return series.values[*before];
    if (near_next) return series.values[next];
    return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace

std::optional<TableReader> TableReader::make(const Log& log, const Engine& engine, const Table& table) {
    TableReader reader(table);
    for (const Axis& axis : table.axes) {
        auto samples = samples_of(log, engine, axis.quantity());
        if (!samples || samples->times.empty()) return std::nullopt;
        reader.axes_.push_back(std::move(*samples));
    }
    return reader;
}

std::optional<std::vector<double>> TableReader::point_at(double t) const {
    std::vector<double> x;
    for (const Samples& axis : axes_) {
        x.push_back(read(axis, t));
        if (!std::isfinite(x.back())) return std::nullopt;
    }
    return x;
}

std::vector<CellWeight> TableReader::cells_at(double t) const {
    const auto x = point_at(t);
    return x ? weights_at(*table_, *x) : std::vector<CellWeight>{};
}

}  // namespace revwright
