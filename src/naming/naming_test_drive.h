#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "model/log.h"

namespace revwright {

/// A made-up drive of a turbocharged car at 10 Hz: key on (3 s), idle (10 s), part load (20 s), a full-load pull in
/// third gear (6 s), lift-off. Every channel in its canonical unit.
class TestDrive {
public:
    TestDrive() {
        for (int i = 0; i < 450; ++i) add(0.1 * i);
    }

    std::vector<double> seconds, rpm, pedal, throttle, manifold, boost, boost_target, air, lambda, lambda_target, spark,
        retard, intake, coolant, rail, rail_target, speed, trim, battery;

private:
    void add(double t) {
        const double wave = std::sin(1.7 * t) + 0.4 * std::sin(5.1 * t);
        seconds.push_back(t);
        if (t < 3.0) return moment(0.0, 0.0, 100.0, 100.0, 100.0, 0.0, 1.0, 1.0, 0.0, 0.0, 0.0);
        if (t < 13.0)
            return moment(800.0 + 8.0 * wave, 0.0, 34.0 + wave, 100.5, 100.0, 2.8, 1.0 + 0.004 * wave, 1.0, 8.0, 0.0,
                          0.0);
        if (t < 33.0)
            return moment(2200.0 + 250.0 * wave, 18.0 + 4.0 * wave, 62.0 + 8.0 * wave, 104.0, 105.0, 18.0 + 4.0 * wave,
                          1.0 + 0.006 * wave, 1.0, 26.0 + 2.0 * wave, 0.0, 1.0);
        if (t < 39.0) {
            const double share = (t - 33.0) / 6.0;
            return moment(2200.0 + 4200.0 * share, 100.0, 190.0 - 20.0 * share, 192.0 - 20.0 * share,
                          190.0 - 18.0 * share, 80.0 + 120.0 * share, 0.86 + 0.005 * wave, 0.86 - 0.02 * share,
                          10.0 + 10.0 * share, share > 0.5 ? 2.0 * (1.0 - share) : 0.0, 1.0);
        }
        moment(4500.0 - 500.0 * (t - 39.0), 0.0, 24.0, 103.0, 100.0, 6.0, 1.0, 1.0, 18.0, 0.0, 1.0);
    }

    void moment(double n, double foot, double map, double charge, double asked, double flow, double lambda_now,
                double lambda_asked, double advance, double knock, double moves) {
        const bool runs = n > 0.0;
        rpm.push_back(n), pedal.push_back(foot), throttle.push_back(std::max(foot, 3.5));
        manifold.push_back(map), boost.push_back(charge), boost_target.push_back(asked), air.push_back(flow);
        lambda.push_back(lambda_now), lambda_target.push_back(lambda_asked), spark.push_back(advance);
        retard.push_back(knock);
        intake.push_back(28.0 + 0.02 * foot), coolant.push_back(88.0 + 0.01 * foot);
        rail.push_back(runs ? 5.0 + 0.13 * foot : 4.0), rail_target.push_back(runs ? 5.1 + 0.13 * foot : 5.0);
        speed.push_back(moves > 0.0 ? n / kRpmPerKmH : 0.0);
        trim.push_back(foot < 90.0 ? 1.5 * std::sin(seconds.back()) : 0.0);
        battery.push_back(runs ? 13.9 : 12.4);
    }

public:
    static constexpr double kRpmPerKmH = 46.0;  // third gear
};

inline std::vector<double> changed(std::vector<double> values, const std::function<double(double)>& change) {
    std::ranges::transform(values, values.begin(), change);
    return values;
}

inline std::vector<double> scaled(std::vector<double> values, double factor, double offset = 0.0) {
    return changed(std::move(values), [&](double v) { return v * factor + offset; });
}

/// Builds a log of the drive channel by channel.
struct TestLog {
    Log log;
    explicit TestLog(const TestDrive& drive) {
        log.file = "run.csv", log.format = "csv";
        log.time_bases = {{drive.seconds}};
    }
    TestLog& with(std::string name, std::string unit, std::vector<double> values) {
        Channel channel;
        channel.name = std::move(name), channel.unit_in_log = unit, channel.unit = unit;
        channel.values = std::move(values);
        log.channels.push_back(std::move(channel));
        return *this;
    }
};

}  // namespace revwright
