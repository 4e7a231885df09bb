#include "propose/rounding.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fmt/format.h>
#include <limits>

#include "model/coding.h"

namespace revwright {
namespace {

/// The solver ends this near (in counts) to a bound it stands at.
constexpr double kSolverCounts = 1e-5;
/// Allowed by the last check: rounding errors of the values, nothing else.
constexpr double kExact = 1e-7;

/// The cell's value after a whole number of counts up or down.
double value_after(const TableSituation& t, std::size_t flat, double counts) {
    const Coding& coding = t.table().description.coding;
    if (counts == 0.0) return t.table().values[flat];
    if (coding.type != RawType::f32)
        return coding.factor * (t.table().raw[flat] + (coding.factor > 0.0 ? counts : -counts)) + coding.offset;
    const double wanted = t.table().values[flat] + counts * t.count;
    auto raw = static_cast<float>((wanted - coding.offset) / coding.factor);
    const float safe = coding.factor > 0.0 ? -std::numeric_limits<float>::max() : std::numeric_limits<float>::max();
    if (coding.factor * static_cast<double>(raw) + coding.offset > wanted) raw = std::nextafter(raw, safe);
    return coding.factor * static_cast<double>(raw) + coding.offset;
}

/// Most counts a cell can go down: the end of the table or of its type. 0 or negative.
double lowest_counts(const TableSituation& t, std::size_t flat) {
    const Coding& coding = t.table().description.coding;
    double lowest = std::ceil(lowest_change(t, t.cells[flat]) / t.count - kSolverCounts);
    if (coding.type != RawType::f32) {
        const RawRange range = raw_range(coding.type);
        const double raw = t.table().raw[flat];
        lowest = std::max(lowest, coding.factor > 0.0 ? range.low - raw : raw - range.high);
    }
    return std::min(0.0, lowest);
}

/// Most counts a cell can go up by its type.
double highest_counts(const TableSituation& t, std::size_t flat) {
    const Coding& coding = t.table().description.coding;
    if (coding.type == RawType::f32) return kUnboundedChange;
    const RawRange range = raw_range(coding.type);
    const double raw = t.table().raw[flat];
    return std::max(0.0, coding.factor > 0.0 ? range.high - raw : raw - range.low);
}

/// Lowers `counts` to at most `most` physical, as far as the table goes; says whether it moved.
bool lower_to(const TableSituation& t, std::size_t flat, double most, std::vector<double>& counts) {
    const double wanted = std::max(std::floor(most / t.count + kSolverCounts), lowest_counts(t, flat));
    if (wanted >= counts[flat]) return false;
    counts[flat] = wanted;
    return true;
}

bool may_follow(const TableSituation& t, std::size_t flat) {
    return t.role() != Role::lambda_target || t.cells[flat].appears();
}

/// Closes what rounding opened. Each pass only lowers cells, so it ends.
void close_cliffs(const TableSituation& t, const TableLimits& limits, std::vector<double>& counts) {
    for (bool changed = true; changed;) {
        changed = false;
        for (const Neighbours& n : limits.neighbours) {
            if (may_follow(t, n.a) || counts[n.a] > 0.0)
                changed = lower_to(t, n.a, counts[n.b] * t.count + n.a_above_b, counts) || changed;
            if (may_follow(t, n.b) || counts[n.b] > 0.0)
                changed = lower_to(t, n.b, counts[n.a] * t.count + n.b_above_a, counts) || changed;
        }
        for (const Follower& f : limits.followers)
            if (counts[f.cell] > 0.0)
                changed = lower_to(t, f.cell, std::max(0.0, counts[f.leader] * t.count), counts) || changed;
    }
}

}  // namespace

std::vector<double> rounded_values(const TableSituation& t, const TableLimits& limits, const Changes& changes) {
    std::vector<double> counts;
    for (std::size_t flat = 0; flat < changes.size(); ++flat) {
        const double down = std::floor(changes[flat] / t.count + kSolverCounts);
        counts.push_back(std::clamp(down, lowest_counts(t, flat), highest_counts(t, flat)));
    }
    close_cliffs(t, limits, counts);
    std::vector<double> values;
    for (std::size_t flat = 0; flat < counts.size(); ++flat) values.push_back(value_after(t, flat, counts[flat]));
    return values;
}

std::optional<std::string> broken_bound(const TableSituation& t, const TableLimits& limits,
                                        const std::vector<double>& values) {
    for (const CellSituation& cell : t.cells) {
        const double change = values[cell.flat] - cell.now;
        const double most = limits.caps[cell.flat].most;
        const double ends = lowest_counts(t, cell.flat) * t.count;
        if (change > std::max(most, std::min(0.0, ends)) + kExact + kSolverCounts * t.count)
            return fmt::format("cell {} of {} would change by {:g}, and {} allows {:g}", cell.flat, t.table().name(),
                               change, to_string(limits.caps[cell.flat].bound), most);
    }
    return std::nullopt;
}

}  // namespace revwright
