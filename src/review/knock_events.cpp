#include "review/knock_events.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "review/places.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kHeldSeconds = 0.5;     // the contract's ">= 3 deg for 0.5 s"
constexpr double kStepSeconds = 0.25;    // one step of retard is logged within this time; a slower rise is several
constexpr double kSame = 1e-6;           // degrees; below any control unit's resolution
constexpr double kLeastWeight = 0.25;    // a cell that made up this share of the reading was in use
constexpr double kSameSpeedRpm = 125.0;  // either way: cells of 250 rpm where the spark table is not known

/// Which cells of the spark table were read at a time.
class SparkCells {
public:
    explicit SparkCells(const RunView& run) {
        const JobSheet& job = *run.job;
        if (!job.image || !run.driven.tables) return;
        const auto role = job.image->roles.find(Role::spark);
        if (role == job.image->roles.end() || role->second.empty()) return;
        const auto plain = std::ranges::find(role->second, "", &RoleTable::when);
        table_ = run.driven.tables->find(plain == role->second.end() ? role->second.front().table : plain->table);
        if (!table_) return;
        for (const Axis& axis : table_->axes) {
            auto samples = samples_of(run.log(), job.engine, axis.quantity());
            if (!samples) {
                table_ = nullptr;
                return;
            }
            axes_.push_back(std::move(*samples));
        }
    }

    std::vector<std::size_t> at(double time_s) const {
        std::vector<std::size_t> cells;
        if (!table_) return cells;
        std::vector<double> x;
        for (const Samples& samples : axes_) x.push_back(value_at(samples.series(), time_s));
        if (std::ranges::any_of(x, [](double value) { return std::isnan(value); })) return cells;
        for (const CellWeight& cell : weights_at(*table_, x))
            if (cell.weight >= kLeastWeight) cells.push_back(cell.flat);
        return cells;
    }

private:
    const Table* table_ = nullptr;
    std::vector<Samples> axes_;
};

/// The suffixed cylinders, else the one trace that stands for the worst of them.
std::vector<const Channel*> cylinders(const RunView& run) {
    std::vector<const Channel*> all = run.all(Signal::knock_retard_deg);
    if (all.size() > 1 && all.front()->key->part == 0) all.erase(all.begin());
    return all;
}

void raise(RetardLevel& level, double deg, double time_s, double duration_s, int cylinder) {
    if (deg > level.deg) level = {deg, time_s, duration_s, cylinder};
}

KnockPull knock_in(const PullView& view, const SparkCells& cells, double event_deg) {
    KnockPull knock;
    for (const Channel* channel : cylinders(*view.run)) {
        const Samples retard = view.samples(*channel);
        const int cylinder = channel->key->part;
        for (KnockEvent& event : knock_events_in(retard.series(), cylinder, event_deg)) {
            event.engine_speed_rpm = view.engine_speed_at(event.time_s);
            event.cells = cells.at(event.time_s);
            knock.events.push_back(std::move(event));
        }
        for (std::size_t i = 0; i < retard.times.size(); ++i)
            raise(knock.highest, retard.values[i], retard.times[i], 0.0, cylinder);
        if (const auto held = highest_held(retard.series(), kHeldSeconds))
            raise(knock.held, held->level, retard.times[held->worst],
                  time_above(retard.series(), held->worst, held->level), cylinder);
    }
    std::ranges::stable_sort(knock.events, std::less{}, &KnockEvent::time_s);
    return knock;
}

bool same_cell(const KnockEvent& a, const KnockEvent& b) {
    if (a.cells.empty() || b.cells.empty()) return std::abs(a.engine_speed_rpm - b.engine_speed_rpm) <= kSameSpeedRpm;
    return std::ranges::any_of(a.cells, [&](std::size_t cell) { return std::ranges::count(b.cells, cell) > 0; });
}

bool same_image(const RunView& a, const RunView& b) {
    if (!a.driven.tables || !b.driven.tables) return !a.driven.tables && !b.driven.tables;
    return a.driven.tables->image == b.driven.tables->image;
}

void mark_repeated(std::span<const RunView> runs, std::vector<KnockPull>& pulls) {
    for (std::size_t a = 0; a < pulls.size(); ++a)
        for (std::size_t b = a + 1; b < pulls.size(); ++b) {
            const RunView &first = runs[pulls[a].run], &second = runs[pulls[b].run];
            if (!same_image(first, second) || !same_place(first, second)) continue;
            for (KnockEvent& one : pulls[a].events)
                for (KnockEvent& other : pulls[b].events)
                    if (same_cell(one, other)) one.repeated = other.repeated = true;
        }
}

}  // namespace

std::vector<KnockEvent> knock_events_in(const Series& retard, int cylinder, double event_deg) {
    std::vector<KnockEvent> events;
    std::size_t foot = 0;  // where the present climb began
    bool counted = false;  // the present climb is an event already
    for (std::size_t i = 1; i < retard.size(); ++i) {
        const bool climbs = retard.values[i] > retard.values[i - 1] + kSame;
        const bool stale = retard.times[i] - retard.times[foot] > kStepSeconds && i - foot > 1;
        if (!climbs || stale) {
            foot = climbs ? i - 1 : i;
            counted = false;
            if (!climbs) continue;
        }
        const double rise = retard.values[i] - retard.values[foot];
        if (rise < event_deg - kSame) continue;
        if (counted) {
            events.back().rise_deg = rise;
            events.back().retard_deg = retard.values[i];
        } else {
            events.push_back({retard.times[i], 0.0, cylinder, rise, retard.values[i]});
            counted = true;
        }
    }
    return events;
}

std::vector<KnockPull> knock_of(std::span<const RunView> runs, double event_deg) {
    std::vector<KnockPull> pulls;
    for (std::size_t r = 0; r < runs.size(); ++r) {
        const SparkCells cells(runs[r]);
        for (std::size_t p = 0; p < runs[r].pulls.size(); ++p) {
            pulls.push_back(knock_in({&runs[r], runs[r].pulls[p]}, cells, event_deg));
            pulls.back().run = r;
            pulls.back().pull = p;
        }
    }
    mark_repeated(runs, pulls);
    return pulls;
}

}  // namespace revwright
