#include "review/table_match.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

#include "numeric/bracket.h"
#include "review/axis_trace.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr std::size_t kLeastSamples = 4;  // in a cell, over all pulls
constexpr std::size_t kLeastOfPull = 2;   // from here a pull has a say in a cell
constexpr double kOffShare = 0.6;         // of a cell's samples in a pull
constexpr double kLimiterRpm = 150.0;     // so near to the speed limit it may already act
constexpr int kBlends = 10;               // steps from one variant to another
constexpr double kPartPedalFromPct = 8.0, kPartPedalToPct = 60.0;
constexpr double kWarmCoolantC = 70.0, kPartLeastRpm = 1200.0;
constexpr std::size_t kPartSamples = 40, kPartMost = 400;
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

struct Compared {
    Role role;
    Signal shown;
    double tolerance;
};
constexpr std::array kCompared{Compared{Role::spark, Signal::spark_base_deg, 0.3},
                               Compared{Role::lambda_target, Signal::lambda_target, 0.006},
                               Compared{Role::boost_target, Signal::boost_target_kpa, 2.0}};

/// The step between values that a channel shows: 0 where it shows none.
double resolution_of(std::span<const double> values) {
    double least = 0.0;
    for (std::size_t i = 1; i < values.size(); ++i) {
        const double step = std::abs(values[i] - values[i - 1]);
        if (step > 1e-6 && (least == 0.0 || step < least)) least = step;
    }
    return least;
}

/// value_at() for the usual curves and maps without a list of weights: a match reads thousands of points.
double quick_value_at(const Table& table, std::span<const double> x) {
    if (x.size() != 1 && x.size() != 2) return value_at(table, x);
    const auto between = [](const double* from, std::size_t step, const Bracket& b) {
        return b.part > 0.0 ? std::lerp(from[0], from[step], b.part) : from[0];
    };
    const Bracket row = bracket(table.axes[0].points(), x[0]);
    if (x.size() == 1) return between(&table.values[row.index], 1, row);
    const Bracket column = bracket(table.axes[1].points(), x[1]);
    const std::size_t width = table.axes[1].size();
    const double* first = &table.values[row.index * width + column.index];
    const double here = between(first, 1, column);
    return row.part > 0.0 ? std::lerp(here, between(first + width, 1, column), row.part) : here;
}

struct Told {
    double low = kNone, high = kNone;  // what the table says within the box
    double middle = kNone;             // and in its middle
};

Told told_at(const Table& table, std::span<const AxisBox> boxes) {
    Told told;
    const std::size_t corners = std::size_t{1} << boxes.size();
    std::vector<double> x(boxes.size());
    const auto take = [&] {
        const double value = quick_value_at(table, x);
        if (!(value >= told.low)) told.low = value;
        if (!(value <= told.high)) told.high = value;
    };
    for (std::size_t d = 0; d < boxes.size(); ++d) x[d] = boxes[d].middle;
    take();
    told.middle = told.low;
    for (std::size_t corner = 0; corner < corners; ++corner) {
        for (std::size_t d = 0; d < boxes.size(); ++d) x[d] = (corner >> d) & 1U ? boxes[d].high : boxes[d].low;
        take();
    }
    return told;
}

struct Variant {
    const Table* table;
    std::vector<AxisTrace> axes;
    bool plain;
};

struct Point {
    double time_s = 0.0, logged = 0.0;
    std::size_t cell = 0;         // of the first variant
    std::vector<double> at = {};  // on the first variant's axes
    std::vector<Told> told = {};  // one per variant
};

std::optional<Point> point_at(std::span<const Variant> variants, double t, double logged) {
    Point point{.time_s = t, .logged = logged};
    for (const Variant& variant : variants) {
        std::vector<AxisBox> boxes;
        for (const AxisTrace& axis : variant.axes) boxes.push_back(axis.at(t));
        if (std::ranges::any_of(boxes, [](const AxisBox& box) { return std::isnan(box.middle); })) return std::nullopt;
        if (point.told.empty()) {
            for (const AxisBox& box : boxes) point.at.push_back(box.middle);
            const auto weights = weights_at(*variant.table, point.at);
            point.cell = std::ranges::max_element(weights, std::less{}, &CellWeight::weight)->flat;
        }
        point.told.push_back(told_at(*variant.table, boxes));
    }
    return point;
}

/// How far outside low..high, sign kept.
double outside(double value, double low, double high) {
    return value > high ? value - high : value < low ? value - low : 0.0;
}

double deviation(const Point& point, std::size_t one, std::size_t other, double part) {
    const Told &a = point.told[one], &b = point.told[other];
    return outside(point.logged, std::lerp(a.low, b.low, part), std::lerp(a.high, b.high, part));
}

/// The deviations of a pull under the variant, or the blend, that leaves the fewest of them off.
std::vector<double> least_deviations(const std::vector<Point>& points, std::span<const Variant> variants,
                                     double tolerance) {
    std::vector<double> best;
    std::size_t least = points.size() + 1;
    const auto attempt = [&](std::size_t one, std::size_t other, double part) {
        std::vector<double> deviations;
        std::size_t off = 0;
        for (const Point& point : points) {
            deviations.push_back(deviation(point, one, other, part));
            off += std::abs(deviations.back()) > tolerance ? 1 : 0;
        }
        if (off >= least) return;
        least = off;
        best = std::move(deviations);
    };
    for (std::size_t v = 0; v < variants.size(); ++v) attempt(v, v, 0.0);
    for (std::size_t v = 1; v < variants.size(); ++v)
        for (int step = 1; step < kBlends; ++step) attempt(0, v, step / static_cast<double>(kBlends));
    return best;
}

/// The deviation that part load shows as well: a correction for heat or fuel, not another image. 0 where none is clear.
double common_offset(const RunView& run, const Samples& logged, std::span<const Variant> variants, double tolerance) {
    const Channel* pedal = run.find(Signal::pedal_pct);
    const Channel* speed = run.find(Signal::engine_speed_rpm);
    if (!pedal || !speed) return 0.0;
    const Channel* coolant = run.find(Signal::coolant_temp_c);
    const std::vector<double> pedals = values_along(run.log().series(*pedal), logged.times, 1.0);
    const std::vector<double> speeds = values_along(run.log().series(*speed), logged.times, 1.0);
    std::vector<double> warmth;
    if (coolant) warmth = values_along(run.log().series(*coolant), logged.times, 10.0);
    std::vector<double> deviations;
    const std::size_t step = std::max<std::size_t>(1, logged.times.size() / (4 * kPartMost));
    for (std::size_t i = 0; i < logged.times.size() && deviations.size() < kPartMost; i += step) {
        const bool part = pedals[i] >= kPartPedalFromPct && pedals[i] <= kPartPedalToPct && speeds[i] >= kPartLeastRpm;
        if (!part || (!warmth.empty() && warmth[i] < kWarmCoolantC)) continue;
        const auto point = point_at(variants.first(1), logged.times[i], logged.values[i]);
        if (point) deviations.push_back(point->logged - point->told.front().middle);
    }
    if (deviations.size() < kPartSamples) return 0.0;
    const double middle = median(deviations);
    for (double& value : deviations) value = std::abs(value - middle);
    return std::abs(middle) > tolerance && median(std::move(deviations)) <= tolerance ? middle : 0.0;
}

struct CellOfPull {
    std::size_t pull = 0;
    std::vector<double> deviations = {};
};

struct Visited {
    std::vector<CellOfPull> pulls = {};
    std::vector<double> whole = {};  // logged less the middle of what the first variant says
    std::vector<double> speeds = {}, seconds = {};
    double time_s = 0.0;
    std::size_t samples = 0;
};

/// +1, -1: most samples are off that way; 0: they are not.
int way_off(const std::vector<double>& deviations, double tolerance) {
    std::size_t above = 0, below = 0;
    for (const double value : deviations) {
        above += value > tolerance ? 1 : 0;
        below += value < -tolerance ? 1 : 0;
    }
    const double needed = kOffShare * static_cast<double>(deviations.size());
    if (static_cast<double>(above) >= needed) return 1;
    return static_cast<double>(below) >= needed ? -1 : 0;
}

std::optional<OffCell> off_cell(const Visited& cell, double tolerance) {
    std::optional<int> way;
    std::vector<double> medians, all;
    for (const CellOfPull& pull : cell.pulls) {
        all.insert(all.end(), pull.deviations.begin(), pull.deviations.end());
        if (pull.deviations.size() < kLeastOfPull) continue;
        const int here = way_off(pull.deviations, tolerance);
        if (here == 0 || (way && *way != here)) return std::nullopt;
        way = here;
        medians.push_back(median(pull.deviations));
    }
    if (!way) return std::nullopt;
    const auto [low, high] = std::ranges::minmax(medians);
    return OffCell{.engine_speed_rpm = median(cell.speeds),
                   .charge_pct = cell.seconds.empty() ? std::nullopt : std::optional(median(cell.seconds)),
                   .deviation = median(std::move(all)),
                   .whole = median(cell.whole),
                   .time_s = cell.time_s,
                   .samples = cell.samples,
                   .pulls = medians.size(),
                   .steady = medians.size() > 1 && high - low <= 1.5 * tolerance};
}

std::vector<Variant> variants_of(const RunView& run, const TableSet& tables, Role role) {
    std::vector<Variant> variants;
    if (!run.job->image) return variants;
    const auto entry = run.job->image->roles.find(role);
    if (entry == run.job->image->roles.end()) return variants;
    for (const RoleTable& row : entry->second)
        if (const Table* table = tables.find(row.table))
            if (auto traces = traces_for(run, *table))
                variants.push_back({table, std::move(*traces), row.when.empty()});
    std::ranges::stable_partition(variants, [](const Variant& variant) { return variant.plain; });
    return variants;
}

std::optional<std::size_t> speed_axis(const Table& table) {
    for (std::size_t d = 0; d < table.axes.size(); ++d)
        if (table.axes[d].quantity().signal == Signal::engine_speed_rpm) return d;
    return std::nullopt;
}

/// The points of one pull, but for those where a speed limiter may act.
std::vector<Point> points_of(const RunView& run, const Pull& pull, const Channel& shown,
                             std::span<const Variant> variants) {
    std::vector<Point> points;
    const auto speed = speed_axis(*variants.front().table);
    const double limiter = run.job->engine.max_speed_rpm - kLimiterRpm;
    const Samples logged = samples_within(run.log(), shown, pull.start_s, pull.end_s);
    for (std::size_t i = 0; i < logged.times.size(); ++i) {
        auto point = point_at(variants, logged.times[i], logged.values[i]);
        if (!point || (limiter > 0.0 && speed && point->at[*speed] > limiter)) continue;
        points.push_back(std::move(*point));
    }
    return points;
}

class Matcher {
public:
    Matcher(const RunView& run, const Compared& compared, const Channel& shown, std::vector<Variant> variants)
        : run_(run), shown_(shown), variants_(std::move(variants)), speed_(speed_axis(*variants_.front().table)) {
        match_.role = compared.role;
        match_.table = variants_.front().table->name();
        const Log::Span span = run.log().span();
        logged_ = samples_within(run.log(), shown, span.start_s, span.end_s);
        match_.tolerance = compared.tolerance + 0.5 * resolution_of(logged_.values);
    }

    std::optional<RoleMatch> run() {
        const double offset =
            match_.role == Role::spark ? common_offset(run_, logged_, variants_, match_.tolerance) : 0.0;
        for (const Pull& pull : run_.pulls) add(pull, offset);
        judge();
        if (match_.cells == 0) return std::nullopt;
        return std::move(match_);
    }

private:
    void add(const Pull& pull, double offset) {
        const std::vector<Point> points = points_of(run_, pull, shown_, variants_);
        const std::vector<double> deviations = without_offset(points, offset);
        for (std::size_t i = 0; i < points.size(); ++i) {
            Visited& cell = cells_[points[i].cell];
            if (cell.pulls.empty() || cell.pulls.back().pull != pull.index) cell.pulls.push_back({pull.index, {}});
            cell.pulls.back().deviations.push_back(deviations[i]);
            cell.whole.push_back(points[i].logged - points[i].told.front().middle);
            ++cell.samples;
            cell.time_s = points[i].time_s;
            for (std::size_t d = 0; d < points[i].at.size(); ++d)
                (speed_ == d ? cell.speeds : cell.seconds).push_back(points[i].at[d]);
        }
    }

    /// The smaller of the deviations with and without what part load shows as well.
    std::vector<double> without_offset(std::vector<Point> points, double offset) const {
        std::vector<double> deviations = least_deviations(points, variants_, match_.tolerance);
        if (offset == 0.0) return deviations;
        for (Point& point : points) point.logged -= offset;
        const std::vector<double> moved = least_deviations(points, variants_, match_.tolerance);
        for (std::size_t i = 0; i < moved.size(); ++i)
            if (std::abs(moved[i]) < std::abs(deviations[i])) deviations[i] = moved[i];
        return deviations;
    }

    void judge() {
        match_.lowest_rpm = INFINITY;
        for (const auto& [flat, cell] : cells_) {
            if (cell.samples < kLeastSamples) continue;
            ++match_.cells;
            const double rpm = median(cell.speeds);
            match_.lowest_rpm = std::min(match_.lowest_rpm, rpm);
            match_.highest_rpm = std::max(match_.highest_rpm, rpm);
            std::vector<double> all;
            for (const CellOfPull& pull : cell.pulls)
                all.insert(all.end(), pull.deviations.begin(), pull.deviations.end());
            const double middle = median(std::move(all));
            if (std::abs(middle) > std::abs(match_.worst_cell)) match_.worst_cell = middle;
            if (auto off = off_cell(cell, match_.tolerance)) match_.off.push_back(*off);
        }
        std::ranges::stable_sort(match_.off, std::less{}, &OffCell::engine_speed_rpm);
    }

    const RunView& run_;
    const Channel& shown_;
    std::vector<Variant> variants_;
    std::optional<std::size_t> speed_;
    Samples logged_;
    RoleMatch match_;
    std::map<std::size_t, Visited> cells_;
};

}  // namespace

std::optional<Signal> shown_by(Role role) {
    for (const Compared& compared : kCompared)
        if (compared.role == role) return compared.shown;
    return std::nullopt;
}

std::vector<RoleMatch> match_tables(const RunView& run, const TableSet& tables) {
    std::vector<RoleMatch> matches;
    for (const Compared& compared : kCompared) {
        const Channel* shown = run.find(compared.shown);
        if (!shown) continue;
        std::vector<Variant> variants = variants_of(run, tables, compared.role);
        if (variants.empty()) continue;
        if (auto match = Matcher(run, compared, *shown, std::move(variants)).run())
            matches.push_back(std::move(*match));
    }
    return matches;
}

Matchable matchable(const RunView& run, const TableSet& tables) {
    Matchable found;
    for (const Compared& compared : kCompared) {
        if (!run.find(compared.shown) || !run.job->image) continue;
        if (!variants_of(run, tables, compared.role).empty()) return {true, {}};
        const auto entry = run.job->image->roles.find(compared.role);
        if (entry == run.job->image->roles.end() || !found.missing.empty()) continue;
        for (const RoleTable& row : entry->second)
            if (const Table* table = tables.find(row.table))
                for (const Axis& axis : table->axes)
                    if (!samples_of(run.log(), run.job->engine, axis.quantity()) && found.missing.empty())
                        found.missing = to_string(axis.quantity());
    }
    return found;
}

}  // namespace revwright
