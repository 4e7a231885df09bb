#include "evidence/knock_events.h"

#include <cmath>
#include <cstdint>
#include <gtest/gtest.h>

namespace revwright {
namespace {

/// A small generator of our own: the same numbers on every machine.
struct Random {
    std::uint64_t state;
    double uniform() {
        state = state * 6364136223846793005ULL + 1442695040888963407ULL;
        return static_cast<double>(state >> 11) * 0x1.0p-53;
    }
};

struct Unit {
    double step_deg, decay_deg_s, ceiling_deg, rate;  // rate: knocking cycles per cycle
    double refresh_s, rows_s, quantum_deg, noise_deg;
};

struct Simulated {
    RetardTrace trace;
    double events = 0.0;
};

/// A control unit that answers knock cycle by cycle at 4800 rpm, and a logger that looks at it now and then.
Simulated drive(const Unit& unit, int cylinder, double seconds, Random& random) {
    Simulated out{{cylinder, {}}, 0.0};
    constexpr double kCycle = 120.0 / 4800.0;
    double retard = 0.0, cycle_at = 0.0, shown = 0.0, refresh_at = 0.0;
    for (int row = 0; row * unit.rows_s < seconds; ++row) {
        const double t = row * unit.rows_s;
        for (; cycle_at <= t; cycle_at += kCycle) {
            retard = std::max(0.0, retard - unit.decay_deg_s * kCycle);
            if (random.uniform() >= unit.rate) continue;
            retard = std::min(unit.ceiling_deg, retard + unit.step_deg);
            out.events += 1.0;
        }
        if (t >= refresh_at - 1e-9) {
            const double noisy = retard > 0.0 ? retard + unit.noise_deg * (random.uniform() - 0.5) : 0.0;
            shown = unit.quantum_deg * std::round(noisy / unit.quantum_deg);
            refresh_at += unit.refresh_s;
        }
        out.trace.samples.times.push_back(t);
        out.trace.samples.values.push_back(shown);
    }
    return out;
}

struct Case {
    const char* name;
    Unit unit;
    double tolerance;  // of the count, relative
};

const Case kCases[] = {
    {"fine, 25 Hz", {3.0, 1.0, 100.0, 0.004, 0.04, 0.04, 0.01, 0.0}, 0.02},
    {"quantised, 10 Hz", {3.0, 1.0, 100.0, 0.004, 0.10, 0.10, 0.75, 0.0}, 0.03},
    {"slower than the rows", {3.0, 1.0, 100.0, 0.004, 0.10, 0.02, 0.1, 0.0}, 0.03},
    {"small steps", {1.5, 0.5, 100.0, 0.004, 0.10, 0.05, 0.1, 0.0}, 0.03},
    {"steps of exactly one degree", {1.0, 0.5, 100.0, 0.004, 0.10, 0.02, 0.01, 0.0}, 0.03},
    {"noisy", {3.0, 0.7, 100.0, 0.004, 0.05, 0.05, 0.1, 0.4}, 0.03},
    {"quick decay", {2.25, 3.0, 100.0, 0.02, 0.05, 0.05, 0.375, 0.0}, 0.04},
};

TEST(KnockEvents, CountsWhatTheControlUnitAnswered) {
    for (const Case& c : kCases) {
        SCOPED_TRACE(c.name);
        Random random{7};
        double truth = 0.0;
        std::vector<RetardTrace> traces;
        for (int cylinder = 1; cylinder <= 4; ++cylinder) {
            const Simulated s = drive(c.unit, cylinder, 600.0, random);
            truth += s.events;
            traces.push_back(s.trace);
        }
        const KnockHistory found = recover_knock_events(std::move(traces));
        double count = 0.0;
        for (const RecoveredKnock& e : found.events) count += e.count;
        EXPECT_NEAR(count / truth, 1.0, c.tolerance) << "of " << truth;
        EXPECT_NEAR(found.law.step_deg, c.unit.step_deg, 0.1 * c.unit.step_deg + 0.1);
        EXPECT_NEAR(found.law.decay_deg_s, c.unit.decay_deg_s, 0.15 * c.unit.decay_deg_s);
        EXPECT_FALSE(found.law.ceiling_deg) << *found.law.ceiling_deg;
        EXPECT_TRUE(found.censored.empty());
    }
}

TEST(KnockEvents, ARetardAtItsCeilingIsCensored) {
    Random random{11};
    const Simulated s = drive({3.0, 1.0, 8.0, 0.08, 0.05, 0.05, 0.1, 0.0}, 2, 60.0, random);
    const KnockHistory found = recover_knock_events({s.trace});
    ASSERT_TRUE(found.law.ceiling_deg);
    EXPECT_NEAR(*found.law.ceiling_deg, 8.0, 0.2);
    ASSERT_FALSE(found.censored.empty());
    EXPECT_EQ(found.censored.front().cylinder, 2);
    double censored = 0.0, count = 0.0;
    for (const CensoredStretch& c : found.censored) censored += c.end_s - c.start_s;
    for (const RecoveredKnock& e : found.events) count += e.count;
    EXPECT_GT(censored, 2.0);
    EXPECT_LT(count, 0.95 * s.events) << "the ceiling hides events, or this test shows nothing";
}

TEST(KnockEvents, RetardThatOnlyStandsOrFallsIsNoEvent) {
    RetardTrace trace{1, {{0.0, 0.1, 0.2, 0.3, 0.4, 0.5}, {2.0, 1.9, 1.8, 1.7, 2.2, 2.1}}};
    EXPECT_TRUE(recover_knock_events({trace}).events.empty()) << "half a degree is no knock event";
    trace.samples.values[4] = 2.8;
    ASSERT_EQ(recover_knock_events({trace}).events.size(), 1u);
    EXPECT_EQ(recover_knock_events({trace}).events[0].time_s, 0.4);
}

TEST(KnockEvents, TwoEventsInOneRefreshAreTwo) {
    RetardTrace trace{1, {}};
    const double jumps[] = {3.0, 3.0, 6.0, 3.0};
    double t = 0.0;
    for (const double jump : jumps) {
        for (double r = jump; r > 0.0; r -= 0.1)
            trace.samples.times.push_back(t += 0.1), trace.samples.values.push_back(r);
        trace.samples.times.push_back(t += 0.1), trace.samples.values.push_back(0.0);
    }
    trace.samples.times.insert(trace.samples.times.begin(), 0.0);
    trace.samples.values.insert(trace.samples.values.begin(), 0.0);
    double count = 0.0;
    for (const RecoveredKnock& e : recover_knock_events({trace}).events) count += e.count;
    EXPECT_EQ(count, 5.0);
}

}  // namespace
}  // namespace revwright
