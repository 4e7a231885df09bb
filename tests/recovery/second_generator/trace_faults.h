#pragma once

#include <map>
#include <span>
#include <string_view>
#include <vector>

#include "model/channel.h"
#include "model/review.h"
#include "recovery/second_generator/car.h"
#include "recovery/second_generator/instant.h"
#include "recovery/second_generator/path.h"

namespace revwright::second {

struct FaultRow;

/// A fault with all that chance decided about it.
struct Planted {
    const FaultRow* row = nullptr;
    const TraceCar* car = nullptr;
    double at_rpm = 0.0;    // 0 for a fault without a place
    double flat_rpm = 0.0;  // acts in full so far to either side
    double size = 0.5;      // 0 mild .. 1 strong, all of it beyond the limit
    int pull = 0;           // for faults of a single pull
    int cylinder = 0;
    bool upward = true;
    std::map<int, double> struck_s = {};  // by pull: when it began
    double misfires = 0.0;

    /// 1 in full, 0 outside, smooth over 250 rpm between.
    double acts(const Instant& now) const;
    /// Seconds since the engine passed the place in this pull; negative before.
    double since_place(const Instant& now);
    double between(double mild, double strong) const { return mild + size * (strong - mild); }
};

/// How the recording is spoiled; all in one pull.
enum class Spoil { none, stuck, gap, dropout, spikes, clock, ceiling };

/// One kind of fault: a row here is a row in the tables of the score.
struct FaultRow {
    std::string_view name;
    std::vector<std::string_view> checks;  // one of them must be raised
    Severity at_least = Severity::watch;
    std::vector<std::string_view> may_raise = {};
    std::vector<Signal> shows_in = {};        // must be logged for it to be seen
    bool (*fits)(const TraceCar&) = nullptr;  // nothing: every car
    bool placed = false;
    double flat_s = 0.0;  // acts in full for so long at least
    void (*prepare)(TraceCar&, DriveWish&) = nullptr;
    void (*act)(Instant&, Planted&) = nullptr;
    Spoil spoil = Spoil::none;
};

std::span<const FaultRow> all_rows();

}  // namespace revwright::second
