#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <numbers>
#include <random>

#include "app/files.h"
#include "app/job_images.h"
#include "app/power_logs.h"
#include "app/test_example_job.h"
#include "formats/sheets/job.h"

namespace revwright::app {
namespace {

/// The example car on a road, by Euler's steps of 5 ms: the truth of these tests, which no fit shares code with. It
/// rolls harder than its job sheet says.
class RealCar {
public:
    explicit RealCar(const Car& car)
        : mass_(car.mass_kg),
          radius_(car.rolling_circumference_m / (2.0 * std::numbers::pi)),
          overall_(car.gear_ratios[2] * car.final_drive),
          efficiency_(1.0 - car.driveline_loss_fraction) {}

    double resistance_n(double v) const { return 270.0 + 2.0 * v + 0.41 * v * v; }
    double torque_nm(double rpm) const { return 300.0 - 40.0 * std::pow((rpm - 4000.0) / 2500.0, 2); }

    /// Ten seconds a side, heading one way and then the other: 110 to 40 km/h in neutral each time.
    std::string coasting(int stretches) {
        text_ = kHead;
        double time = 0.0;
        for (int i = 0; i < stretches; ++i) {
            heading_ = i % 2 == 0 ? 90.0 : 270.0;
            for (int k = 0; k < 1000; ++k, time += 0.005)  // on the way there, in gear
                note(time, 31.0, 31.0 / radius_ * overall_ * 30.0 / std::numbers::pi, 20.0, 3);
            for (double v = 31.0; v > 11.0;
                 v -= 0.005 * force(v) / (mass_ + 4.0 * 1.1 / (radius_ * radius_)), time += 0.005)
                note(time, v, 850.0, 0.0, 0);
        }
        return text_;
    }

    std::string pull() {
        text_ = kHead;
        heading_ = 90.0;
        double rpm = 2000.0, time = 0.0;
        for (int k = 0; k < 400; ++k, time += 0.005) note(time, speed_at(rpm), rpm, 20.0, 3);
        for (; rpm < 6400.0; time += 0.005) {
            note(time, speed_at(rpm), rpm, 100.0, 3);
            const double wheel = torque_nm(rpm) * overall_ * efficiency_ / radius_ - force(speed_at(rpm));
            const double inertia = mass_ + (4.0 * 1.1 + efficiency_ * 0.16 * overall_ * overall_) / (radius_ * radius_);
            rpm += 0.005 * wheel / inertia / radius_ * overall_ * 30.0 / std::numbers::pi;
        }
        return text_;
    }

private:
    static constexpr const char* kHead =
        "time_s,engine_speed_rpm,pedal_pct,gear,gnss_speed_km_h,heading_deg,boost_pressure_kpa\n";

    double speed_at(double rpm) const { return rpm * std::numbers::pi / 30.0 / overall_ * radius_; }
    /// With a wind of 1.2 m/s and a slope of 0.4 %, eastward against the car.
    double force(double v) const {
        const double along = heading_ < 180.0 ? 1.0 : -1.0, air = v + 1.2 * along;
        return resistance_n(v) + 0.41 * (air * air - v * v) + along * 0.004 * mass_ * 9.80665;
    }
    void note(double time, double v, double rpm, double pedal, int gear) {
        if (++steps_ % 20 != 0) return;  // 10 Hz
        const double noise = 0.04 * (static_cast<double>(random_() % 2001) / 1000.0 - 1.0) * 1.7;
        text_ += fmt::format("{:.3f},{:.0f},{:.0f},{},{:.3f},{:.1f},180\n", time, rpm, pedal, gear, 3.6 * (v + noise),
                             heading_);
    }

    double mass_, radius_, overall_, efficiency_, heading_ = 90.0;
    std::string text_;
    std::uint64_t steps_ = 0;
    std::mt19937_64 random_{7};
};

class PowerWithCoasting : public testing::Test {
protected:
    void SetUp() override {
        const auto* test = testing::UnitTest::GetInstance()->current_test_info();
        folder_ = Path(testing::TempDir()) / fmt::format("coasting_{}", test->name());
        write_example_job(folder_);
        const auto job = open_job(folder_ / "job.toml");
        ASSERT_TRUE(job);
        car_ = std::make_unique<RealCar>(job->sheet.car);
        keep("pull.csv", car_->pull());
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    void keep(const char* name, const std::string& text) { ASSERT_TRUE(write_file(folder_ / name, text)); }
    PowerReport power(std::initializer_list<const char*> names) const {
        std::vector<Path> logs;
        for (const char* name : names) logs.push_back(folder_ / name);
        auto report = power_of_logs(folder_ / "job.toml", logs, std::nullopt);
        EXPECT_TRUE(report) << describe(report.error());
        return report ? *std::move(report) : PowerReport{};
    }
    const MethodPower& road(const PowerReport& report) const { return report.sets.back().methods.front(); }
    double true_power_kw(double rpm) const { return car_->torque_nm(rpm) * rpm * std::numbers::pi / 30'000.0; }

    Path folder_;
    std::unique_ptr<RealCar> car_;
};

TEST_F(PowerWithCoasting, BothWaysTellTheResistanceThroughWindAndSlope) {
    keep("coast.csv", car_->coasting(6));
    const PowerReport report = power({"pull.csv", "coast.csv"});
    ASSERT_TRUE(report.coastdown);
    EXPECT_EQ(report.coastdown->refused, "");
    ASSERT_EQ(report.coastdown->stretches.size(), 6u);
    EXPECT_EQ(report.coastdown->stretches[0].direction, "out");
    EXPECT_EQ(report.coastdown->stretches[1].direction, "back");
    EXPECT_NEAR(report.coastdown->stretches[0].from_km_h, 3.6 * 31.0, 2.0);
    EXPECT_NEAR(report.coastdown->stretches[0].to_km_h, 3.6 * 11.0, 2.0);
    ASSERT_EQ(report.coastdown->resistance.size(), 4u);  // at 40, 60, 80 and 100 km/h
    for (const RoadResistance& at : report.coastdown->resistance) {
        const double truth = car_->resistance_n(at.speed_km_h / 3.6);
        EXPECT_NEAR(at.force_n, truth, 0.03 * truth) << at.speed_km_h;
        EXPECT_NEAR(at.force_n, truth, 3.0 * at.force_sd_n) << at.speed_km_h;
    }
    ASSERT_EQ(report.sets.size(), 1u);  // the coasting log is no set of its own
    EXPECT_EQ(report.sets.front().logs.size(), 1u);
}

TEST_F(PowerWithCoasting, AloneItTellsNoPowerAndTheReportSaysWhy) {
    keep("coast.csv", car_->coasting(2));
    const PowerReport report = power({"coast.csv"});
    EXPECT_FALSE(states_power(report));
    ASSERT_TRUE(report.coastdown);
    EXPECT_FALSE(report.coastdown->resistance.empty());
    ASSERT_FALSE(report.sets.empty());
    EXPECT_EQ(report.sets.back().refused.front().reason,
              "no full-load pull on the road can be used: the logs hold none");
}

TEST_F(PowerWithCoasting, WhatItTellsTakesThePlaceOfTheSheets) {
    keep("coast.csv", car_->coasting(6));
    const PowerReport without = power({"pull.csv"}), with = power({"coast.csv", "pull.csv"});
    const PowerPeak &before = road(without).curve.power_kw, &after = road(with).curve.power_kw;
    const double truth = true_power_kw(after.engine_speed_rpm);
    EXPECT_LT(std::abs(after.value - truth), std::abs(before.value - true_power_kw(before.engine_speed_rpm)));
    EXPECT_LT(after.interval.low, truth);
    EXPECT_GT(after.interval.high, truth);
    const auto asks_for_it = [](const PowerReport& report) {
        return std::ranges::count(report.sets.back().remedies, "rolling resistance and drag", &PowerRemedy::cause);
    };
    EXPECT_EQ(asks_for_it(without), 1);
    EXPECT_EQ(asks_for_it(with), 0);
}

TEST_F(PowerWithCoasting, ADriversFootOnTheBrakeIsNoCoasting) {
    std::string text = "time_s,engine_speed_rpm,pedal_pct,gnss_speed_km_h\n";
    double v = 33.0;
    for (int i = 0; v > 3.0; ++i, v -= 0.14)
        text += fmt::format("{:.1f},{},0,{:.2f}\n", 0.1 * i, 880 + 7 * i % 50, 3.6 * v);
    keep("brake.csv", text);  // 1.4 m/s^2 with the clutch pressed
    EXPECT_FALSE(power({"pull.csv", "brake.csv"}).coastdown);
}

TEST_F(PowerWithCoasting, OverrunInGearIsNoCoasting) {
    std::string text = "time_s,engine_speed_rpm,pedal_pct,gnss_speed_km_h\n";
    double v = 33.0;
    for (int i = 0; v > 12.0; ++i, v -= 0.06)
        text += fmt::format("{:.1f},{:.0f},0,{:.2f}\n", 0.1 * i, 100.0 * v, 3.6 * v);
    keep("overrun.csv", text);
    EXPECT_FALSE(power({"pull.csv", "overrun.csv"}).coastdown);
}

TEST_F(PowerWithCoasting, OneShortStretchIsShownAndNotUsed) {
    std::string text = "time_s,engine_speed_rpm,pedal_pct,vehicle_speed_km_h\n";
    for (int i = 0; i < 160; ++i)
        text += fmt::format("{:.1f},{},0,{:.0f}\n", 0.1 * i, 880 + 7 * i % 50, 90.0 - 0.13 * i);
    keep("short.csv", text);
    const PowerReport report = power({"pull.csv", "short.csv"});
    ASSERT_TRUE(report.coastdown);
    EXPECT_EQ(report.coastdown->stretches.size(), 1u);
    EXPECT_NE(report.coastdown->refused, "");
    EXPECT_TRUE(states_power(report));  // from the sheet's resistance
}

}  // namespace
}  // namespace revwright::app
