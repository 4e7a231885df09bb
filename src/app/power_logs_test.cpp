#include "app/power_logs.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <numbers>

#include "app/files.h"
#include "formats/csv/writer.h"
#include "formats/sheets/job.h"
#include "rig/drive.h"
#include "rig/example_car.h"

namespace revwright::app {
namespace {

/// A folder of the example car, with runs of the standard image driven into it.
class PowerOfLogs : public testing::Test {
protected:
    void SetUp() override {
        const auto* test = testing::UnitTest::GetInstance()->current_test_info();
        folder_ = Path(testing::TempDir()) / fmt::format("power_{}", test->name());
        std::filesystem::remove_all(folder_);
        std::filesystem::create_directories(folder_);
        sheet_ = rig::example_job_sheet();
        keep(rig::kExampleTableSheetFile, rig::example_table_sheet());
        ASSERT_TRUE(write_file(folder_ / rig::kExampleImageFile, rig::standard_image()));
        keep("job.toml", sheet_);
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    void keep(std::string_view name, std::string_view text) { ASSERT_TRUE(write_file(folder_ / name, text)); }

    /// Drives, keeps the log and ties it to the standard image; returns what really happened.
    rig::Truth drive(std::uint64_t seed, std::string_view more_of_run = "") {
        const auto job = open_job_with_image(folder_ / "job.toml");
        EXPECT_TRUE(job);
        const TableSet tables = rig::standard_tables();
        auto run = rig::drive({.job = job->sheet, .tables = tables, .seed = seed, .hardware_fitted = false});
        EXPECT_TRUE(run);
        const std::string name = fmt::format("run-{}.csv", seed);
        keep(name, csv::write(run->log));
        logs_.push_back(folder_ / name);
        sheet_ += "\n" +
                  rig::run_entry({.log = name,
                                  .image = std::string(rig::kExampleImageFile),
                                  .ambient_temp_c = run->truth.day.ambient_temp_c,
                                  .ambient_pressure_kpa = run->truth.day.ambient_pressure_kpa}) +
                  std::string(more_of_run);
        keep("job.toml", sheet_);
        return run->truth;
    }
    PowerReport power() const {
        auto report = power_of_logs(folder_ / "job.toml", logs_, std::nullopt);
        EXPECT_TRUE(report) << describe(report.error());
        return report ? *std::move(report) : PowerReport{};
    }

    Path folder_;
    std::string sheet_;
    std::vector<Path> logs_;
};

double mean_peak_power(const rig::Truth& truth) {
    double sum = 0.0;
    for (const rig::TruthPull& pull : truth.pulls) sum += pull.peak_power_kw;
    return sum / static_cast<double>(truth.pulls.size());
}

TEST_F(PowerOfLogs, TheTruthOfSimulatedCarsLiesInside) {
    // Cars and days of twelve seeds. The rig's engine, tyres and road are not the fit's: it shares no model with them.
    int inside = 0;
    double error_pct = 0.0;
    constexpr int kCars = 12;
    for (std::uint64_t seed = 1; seed <= kCars; ++seed) {
        SetUp();
        logs_.clear();
        const double truth = mean_peak_power(drive(seed));
        const PowerReport report = power();
        ASSERT_TRUE(states_power(report)) << seed;
        const PowerPeak& peak = report.sets.back().as_measured->power_kw;
        inside += peak.interval.low <= truth && truth <= peak.interval.high ? 1 : 0;
        error_pct += 100.0 * (peak.value / truth - 1.0) / kCars;
        EXPECT_LT(peak.interval.high - peak.interval.low, 0.2 * truth) << seed;
        EXPECT_FALSE(report.sets.back().in_one_sentence.empty());
    }
    EXPECT_GE(inside, 10);
    EXPECT_LT(std::abs(error_pct), 4.0);
}

TEST_F(PowerOfLogs, TwoRunsOfOneImageAreOneSetAndDoNotDiffer) {
    drive(3);
    drive(4);
    const PowerReport report = power();
    ASSERT_EQ(report.sets.size(), 1u);
    EXPECT_EQ(report.sets.front().logs.size(), 2u);
    EXPECT_TRUE(report.differences.empty());
    EXPECT_EQ(report.sets.front().reference, "none");  // turbocharged
    EXPECT_EQ(report.sets.front().correction_factor, 1.0);
}

TEST_F(PowerOfLogs, AStatedSlopeMovesTheFigureByItsForce) {
    drive(5);
    const double level = power().sets.back().methods.front().curve.power_kw.value;  // the road's, before others count
    sheet_ += "slope_pct = 2.0\n";
    keep("job.toml", sheet_);
    const PowerPeak uphill = power().sets.back().methods.front().curve.power_kw;
    // m g slope r / (ratio eta): some 1510 * 9.81 * 0.02 N at the road, at 6,000 rpm in third about 38 m/s, over 0.89.
    EXPECT_NEAR(uphill.value - level, 1510 * 9.80665 * 0.02 * 38.0 / 0.89 / 1000.0, 3.0);
}

TEST_F(PowerOfLogs, ALogWithoutAPullIsRefusedWithTheReason) {
    keep("idle.csv", "time_s,engine_speed_rpm,pedal_pct,gear\n0,800,0,0\n1,810,0,0\n2,805,0,0\n3,800,0,0\n");
    logs_.push_back(folder_ / "idle.csv");
    const PowerReport report = power();
    EXPECT_FALSE(states_power(report));
    ASSERT_FALSE(report.sets.back().refused.empty());
    EXPECT_EQ(report.sets.back().refused.front().reason,
              "no full-load pull on the road can be used: the logs hold none");
}

TEST_F(PowerOfLogs, RealDrivesWithoutATimeBaseAreRefused) {
    const Path drives = "../shared/data/obd-drives";
    if (!std::filesystem::exists(drives)) GTEST_SKIP() << drives << " is not here";
    for (const char* name : {"drive9.csv", "idle1.csv", "ufpe1.csv"}) {
        logs_ = {drives / name};
        const PowerReport report = power();
        EXPECT_FALSE(states_power(report)) << name;
        EXPECT_NE(report.sets.back().refused.front().reason.find("the clock ENGINE_RUN_TINE stands still"),
                  std::string::npos)
            << report.sets.back().refused.front().reason;
    }
}

/// A pull in third gear of the example car, engine speed rising evenly; columns beyond the first three as asked for.
struct RampLog {
    double rate_hz = 20.0, seconds = 8.0, climb = 0.0, input_share = 1.0;
    bool gear = true;

    std::string text(double m_per_turn) const {
        std::string text = "time_s,engine_speed_rpm,pedal_pct,gearbox_input_rpm,altitude_m";
        text += gear ? ",vehicle_speed_km_h,gear\n" : "\n";
        double way = 0.0;
        for (double t = -2.0; t < seconds + 1.0; t += 1.0 / rate_hz) {
            const bool full = t >= 0.0 && t <= seconds;
            const double rpm = 2200.0 + 4000.0 * std::clamp(t / seconds, 0.0, 1.0);
            way += rpm / 60.0 * m_per_turn / rate_hz;
            text += fmt::format("{:.3f},{:.1f},{},{:.1f},{:.2f}", t + 2.0, rpm, full ? 100 : 20, rpm * input_share,
                                200.0 + climb * way);
            text += gear ? fmt::format(",{:.2f},3\n", rpm * 0.06 * m_per_turn) : "\n";
        }
        return text;
    }
};

TEST_F(PowerOfLogs, WhatAPullLacksIsSaidInOneSentence) {
    const auto job = open_job(folder_ / "job.toml");
    ASSERT_TRUE(job);
    const Car& car = job->sheet.car;
    const double m_per_turn = car.rolling_circumference_m / (car.gear_ratios[2] * car.final_drive);
    struct Lacking {
        RampLog log;
        std::string said;
    };
    const Lacking lacking[] = {
        {{.gear = false}, "its gear is not known: neither a gear nor a road speed is logged"},
        {{.rate_hz = 2.0}, "has an engine speed that is renewed 2.0 times a second, 2.5 are needed"},
        {{.rate_hz = 5.0, .seconds = 3.0},
         "readings of engine speed under full load with the boost built up, 12 are needed"},
        {{.input_share = 0.97}, "has an engine that turns 3.1 % faster than the gearbox: clutch or converter slips"},
        {{.climb = 0.03}, "climbs 3.0 % by its logged altitude, and no slope is stated"},
    };
    for (const Lacking& each : lacking) {
        SCOPED_TRACE(each.said);
        keep("ramp.csv", each.log.text(m_per_turn));
        logs_ = {folder_ / "ramp.csv"};
        const PowerReport report = power();
        EXPECT_FALSE(states_power(report));
        ASSERT_FALSE(report.sets.back().refused.empty());
        EXPECT_EQ(report.sets.back().refused.front().method, PowerMethod::road_load);
        EXPECT_NE(report.sets.back().refused.front().reason.find(each.said), std::string::npos)
            << report.sets.back().refused.front().reason;
    }
    keep("ramp.csv", RampLog{}.text(m_per_turn));
    const PowerReport whole = power();
    EXPECT_TRUE(states_power(whole)) << whole.sets.back().refused.front().reason;  // with nothing lacking
}

TEST_F(PowerOfLogs, WhatTheCarSaysOfItselfIsNoMeasurement) {
    std::string text = "time_s,engine_speed_rpm,pedal_pct,air_mass_flow_g_s,lambda\n";
    for (int i = 0; i < 200; ++i) {
        const double rpm = 2200.0 + 20.0 * i;
        text += fmt::format("{:.2f},{:.0f},100,{:.1f},0.86\n", 0.05 * i, rpm, 0.027 * rpm);
    }
    keep("air.csv", text);
    logs_ = {folder_ / "air.csv"};
    const PowerReport report = power();
    ASSERT_TRUE(report.sets.back().combined);
    EXPECT_EQ(report.sets.back().methods.front().method, PowerMethod::air_flow);
    EXPECT_FALSE(states_power(report));
    EXPECT_NE(report.sets.back().in_one_sentence.find("a full-load pull on the road"), std::string::npos);
}

/// A pull on a roller of 60 kg m^2 at the wheels, by Euler's steps of a millisecond: 250 Nm less 20 at 6,000 rpm.
std::string roller_log(double overall, double radius) {
    std::string text = "time_s,engine_speed_rpm,pedal_pct,gear\n";
    double w = 2000.0 * std::numbers::pi / 30.0;
    for (int ms = -1000; w < 6000.0 * std::numbers::pi / 30.0; ++ms) {
        const double rpm = w * 30.0 / std::numbers::pi;
        if (ms % 50 == 0) text += fmt::format("{:.2f},{:.0f},{},3\n", 0.001 * (ms + 1000), rpm, ms < 0 ? 20 : 100);
        const double torque = 250.0 - 20.0 * (rpm - 2000.0) / 4000.0;
        // At the wheels: roller, two wheels of 1.1 kg m^2, the engine of the job; the tyres' rolling resistance on the
        // roller.
        const double inertia = 60.0 + 2.0 * 1.1 + 0.89 * 0.16 * overall * overall;
        const double rolling = 0.015 * 0.55 * 1510.0 * 9.80665 * radius;
        if (ms >= 0) w += 0.001 * (torque * 0.89 * overall - rolling) / inertia * overall;
    }
    return text;
}

TEST_F(PowerOfLogs, AnInertiaDynamometerIsItsOwnMethod) {
    const auto job = open_job(folder_ / "job.toml");
    ASSERT_TRUE(job);
    const Car& car = job->sheet.car;
    ASSERT_NEAR(car.mass_kg, 1510.0, 1.0);
    keep("roller.csv",
         roller_log(car.gear_ratios[2] * car.final_drive, car.rolling_circumference_m / (2.0 * std::numbers::pi)));
    sheet_ += fmt::format(
        "\n[[run]]\nlog = \"roller.csv\"\nimage = \"{}\"\nplace = \"inertia-dyno\"\nroller_inertia_kg_m2 = 60\n",
        rig::kExampleImageFile);
    keep("job.toml", sheet_);
    logs_ = {folder_ / "roller.csv"};
    const PowerReport report = power();
    ASSERT_TRUE(states_power(report));
    ASSERT_EQ(report.sets.back().methods.front().method, PowerMethod::dynamometer);
    const PowerPeak& peak = report.sets.back().as_measured->power_kw;
    const double truth = (250.0 - 20.0 * (peak.engine_speed_rpm - 2000.0) / 4000.0) * peak.engine_speed_rpm *
                         std::numbers::pi / 30'000.0;
    EXPECT_NEAR(peak.value, truth, 0.02 * truth);
    EXPECT_LT(peak.interval.low, truth);
    EXPECT_GT(peak.interval.high, truth);
}

TEST_F(PowerOfLogs, HoldsOnABrakeDynamometerAreSettledPoints) {
    std::string text = "time_s,engine_speed_rpm,pedal_pct,gear,dyno_torque_nm\n";
    double time = 0.0;
    for (const double rpm : {2000.0, 3000.0, 4000.0, 5000.0, 6000.0}) {
        for (int i = 0; i < 20; ++i, time += 0.1)  // on the way there, pedal back
            text += fmt::format("{:.1f},{:.0f},30,4,20\n", time, rpm - 1000.0 + 50.0 * i);
        for (int i = 0; i < 50; ++i, time += 0.1)
            text += fmt::format("{:.1f},{:.0f},100,4,{:.1f}\n", time, rpm + i % 3, 300.0 - rpm / 100.0 + i % 2);
    }
    keep("brake.csv", text);
    sheet_ +=
        fmt::format("\n[[run]]\nlog = \"brake.csv\"\nimage = \"{}\"\nplace = \"brake-dyno\"\n", rig::kExampleImageFile);
    keep("job.toml", sheet_);
    logs_ = {folder_ / "brake.csv"};
    const PowerReport report = power();
    ASSERT_TRUE(states_power(report));
    const PowerCurve& curve = *report.sets.back().as_measured;
    const auto at = std::ranges::find(curve.points, 4000.0, &TorqueCurvePoint::engine_speed_rpm);
    ASSERT_NE(at, curve.points.end());
    EXPECT_NEAR(at->torque_nm, 260.5, 0.5);
    EXPECT_NEAR(at->torque_sd_nm, 0.015 * 260.5, 0.1);
}

TEST_F(PowerOfLogs, APictureIsNotDrawnOverALog) {
    drive(6);
    const PowerReport report = power();
    EXPECT_FALSE(draw_power_report(report, logs_.front(), logs_));
    EXPECT_TRUE(draw_power_report(report, folder_ / "power.svg", logs_));
    EXPECT_TRUE(std::filesystem::exists(folder_ / "power.svg"));
}

}  // namespace
}  // namespace revwright::app
