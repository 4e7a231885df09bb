#include "propose/reach.h"

#include <algorithm>

#include "evidence/operating_points.h"
#include "numeric/bracket.h"
#include "review/derived.h"
#include "review/pulls.h"

namespace revwright {
namespace {

constexpr double kStepS = 0.05;  // finer than any speed axis: 25 rpm at 500 rpm/s

std::optional<std::size_t> speed_axis(const Table& table) {
    for (std::size_t d = 0; d < table.axes.size(); ++d)
        if (table.axes[d].quantity().signal == Signal::engine_speed_rpm) return d;
    return std::nullopt;
}

void touch(std::vector<double>& reach, const Table& table, const std::vector<double>& x) {
    for (const CellWeight& cell : weights_at(table, x)) reach[cell.flat] = std::max(reach[cell.flat], cell.weight);
}

/// The breakpoints next to a pull's speed range, read at the other values of its ends.
void touch_beyond(std::vector<double>& reach, const Table& table, std::size_t axis, std::vector<double> slowest,
                  std::vector<double> fastest) {
    const auto points = table.axes[axis].points();
    const auto above = std::ranges::upper_bound(points, fastest[axis]);
    if (above != points.end()) {
        fastest[axis] = *above;
        touch(reach, table, fastest);
    }
    const auto below = std::ranges::lower_bound(points, slowest[axis]);
    if (below != points.begin()) {
        slowest[axis] = *(below - 1);
        touch(reach, table, slowest);
    }
}

/// How full the cylinders are through a pull, where the log tells.
class Filling {
public:
    Filling(const Log& log, const Engine& engine) : charge_(samples_of(log, engine, {Signal::charge_pct})) {}
    /// Least charge of this pull that counts as full load; nothing where charge is not known: then all of it does.
    double least_of(const Pull& pull) const {
        double highest = 0.0;
        if (charge_)
            for (const double v : slice(charge_->series(), pull.start_s, pull.end_s).values)
                highest = std::max(highest, v);
        return kFilledShare * highest;
    }
    bool filled(double t, double least) const { return !charge_ || !(value_at(charge_->series(), t) < least); }

private:
    std::optional<Samples> charge_;
};

void touch_pull(Reach& reach, const TableReader& reader, const Filling& filling, const Pull& pull) {
    const Table& table = reader.table();
    const auto axis = speed_axis(table);
    const double least = filling.least_of(pull);
    std::optional<std::vector<double>> slowest, fastest;
    for (double t = pull.start_s; t <= pull.end_s; t += kStepS) {
        const auto x = reader.point_at(t);
        if (!x) continue;
        touch(reach.any, table, *x);
        if (filling.filled(t, least)) touch(reach.loaded, table, *x);
        if (axis && (!slowest || (*x)[*axis] < (*slowest)[*axis])) slowest = x;
        if (axis && (!fastest || (*x)[*axis] > (*fastest)[*axis])) fastest = x;
    }
    if (slowest) touch_beyond(reach.any, table, *axis, *slowest, *fastest);
}

}  // namespace

Reach full_load_reach(const ProposeInput& input, const Table& table) {
    Reach reach{std::vector<double>(table.values.size(), 0.0), std::vector<double>(table.values.size(), 0.0)};
    for (std::size_t i = 0; i < input.logs.size(); ++i) {
        const auto reader = TableReader::make(*input.logs[i].log, input.job.engine, table);
        if (!reader) continue;
        const Filling filling(*input.logs[i].log, input.job.engine);
        for (const Pull& pull : input.review.pulls)
            if (pull.log == i) touch_pull(reach, *reader, filling, pull);
    }
    return reach;
}

std::map<std::size_t, double> cells_read(const ProposeInput& input, const Table& table, std::size_t log, double from_s,
                                         double to_s, double speed_rpm) {
    std::map<std::size_t, double> cells;
    if (log < input.logs.size())
        if (const auto reader = TableReader::make(*input.logs[log].log, input.job.engine, table))
            for (double t = from_s; t <= to_s; t += kStepS)
                for (const CellWeight& cell : reader->cells_at(t))
                    cells[cell.flat] = std::max(cells[cell.flat], cell.weight);
    if (!cells.empty()) return cells;
    const auto axis = speed_axis(table);
    for (std::size_t flat = 0; flat < table.values.size(); ++flat) {
        double part = 1.0;
        if (axis) {
            const Bracket b = bracket(table.axes[*axis].points(), speed_rpm);
            const std::size_t at = table.at(flat)[*axis];
            part = at == b.index ? 1.0 - b.part : at == b.index + 1 ? b.part : 0.0;
        }
        if (part > 0.0) cells[flat] = part;
    }
    return cells;
}

}  // namespace revwright
