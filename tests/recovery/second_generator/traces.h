#pragma once

#include <array>
#include <vector>

#include "recovery/second_generator/car.h"
#include "recovery/second_generator/chance.h"
#include "recovery/second_generator/instant.h"

namespace revwright::second {

/// What a healthy car shows, drawn as curves over the driven path: no engine model stands behind them.
class HealthyTraces {
public:
    HealthyTraces(const TraceCar& car, std::uint64_t seed, bool cold_engine);
    /// Fills in everything that follows from how the car is driven. Called instant by instant.
    void fill(Instant& now);

private:
    void air(Instant& now);
    void boost(Instant& now, bool full);
    void mixture(Instant& now, bool full);
    void knock(Instant& now, bool full);
    void temperatures(Instant& now, bool full);
    void fuel(Instant& now, bool full);
    void torque(Instant& now, bool full);
    void electrics(Instant& now);
    double of_highest(const Instant& now) const { return now.rpm / car_.job.engine.max_speed_rpm; }

    const TraceCar& car_;
    Chance chance_;
    bool cold_;
    double throttle_ = 3.0, boost_, boost_rate_ = 0.0, manifold_, duty_ = 0.0, target_ = 1.0, spark_ = 12.0;
    double intake_, coolant_, oil_, gas_ = 300.0, rail_target_, rail_, request_ = 0.0, gnss_ = 0.0, dip_until_ = 0.0;
    double aircon_from_, aircon_pct_, started_s_ = 0.0;
    std::array<double, kMostCylinders> retard_{};
};

/// The probes that show late what was: lambda after a transport time and a lag, exhaust temperature through two lags.
class LateProbes {
public:
    explicit LateProbes(const TraceCar& car) : car_(car), line_(kLine, 1.0) {}
    void show(Instant& now);

private:
    static constexpr std::size_t kLine = 160;  // instants: 0.8 s
    const TraceCar& car_;
    std::vector<double> line_;
    std::size_t at_ = 0;
    double lambda_ = 1.0, fast_ = 300.0, slow_ = 300.0;
};

}  // namespace revwright::second
