#include "formats/mdf4/clock.h"

#include <cmath>
#include <fmt/format.h>

namespace revwright::mdf4 {
namespace {

struct ClockFault {
    std::size_t records = 0, first = 0, last = 0;
    double start_s = 0.0, end_s = 0.0;  // the clock's reading at the first and the last
    double first_found = 0.0;
    void count(double clock, double found, std::size_t record) {
        if (records++ == 0) start_s = clock, first = record, first_found = found;
        end_s = clock;
        last = record;
    }
    std::string left_out(const std::string& label) const {
        if (records == 1) return fmt::format("1 record, {}, of {} is left out", first, label);
        return fmt::format("{} records between record {} and record {} of {} are left out", records, first, last,
                           label);
    }
};

bool rises(std::span<const double> seconds) {
    double last = -HUGE_VAL;
    bool risen = true;
    for (const double time : seconds) {
        risen &= time > last;
        last = time;
    }
    return risen && (seconds.empty() || std::isfinite(last));
}

}  // namespace

RisingTimes rising_times(std::span<const double> seconds, const std::string& label) {
    RisingTimes found;
    if (rises(seconds)) return found;
    found.all = false;
    ClockFault repeated, reversed;
    double last = -HUGE_VAL;
    for (std::size_t i = 0; i < seconds.size(); ++i) {
        const double time = seconds[i];
        if (!std::isfinite(time)) {
            ++found.without_time;
        } else if (time > last) {
            found.kept.push_back(i);
            last = time;
        } else {
            (time == last ? repeated : reversed).count(last, time, i + 1);
        }
    }
    if (repeated.records > 0)
        found.notes.push_back(
            {"time-repeated", repeated.start_s, repeated.end_s,
             fmt::format("the time {} s is repeated; {}", repeated.first_found, repeated.left_out(label))});
    if (reversed.records > 0)
        found.notes.push_back({"time-reversed", reversed.start_s, reversed.end_s,
                               fmt::format("the time runs back from {} s to {} s; {}", reversed.start_s,
                                           reversed.first_found, reversed.left_out(label))});
    return found;
}

void keep(std::vector<double>& values, const RisingTimes& times) {
    if (times.all) return;
    for (std::size_t i = 0; i < times.kept.size(); ++i) values[i] = values[times.kept[i]];
    values.resize(times.kept.size());
}

}  // namespace revwright::mdf4
