// Three real drives of a healthy car at one sample a second: no check may stop or mend, and those that judge such
// drives must have run. The data is not part of the project (its folder stands beside it); where it is absent the test
// is skipped. Source of the drives: carOBD, eron93br.
#include <charconv>
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <limits>

#include "review/checks_test_log.h"

namespace revwright {
namespace {

using testing::accusations;
using testing::unchecked;
using testing::worst;

struct Column {
    std::size_t at;
    Signal signal;
};
// Columns of these drives that are canonical channels as they stand. Rows come three and two to a second.
constexpr Column kColumns[] = {
    {1, Signal::engine_speed_rpm}, {2, Signal::vehicle_speed_km_h}, {5, Signal::coolant_temp_c},
    {6, Signal::trim_long_pct},    {7, Signal::trim_short_pct},     {8, Signal::manifold_pressure_kpa},
    {11, Signal::pedal_pct},       {3, Signal::throttle_pct},       {15, Signal::ambient_pressure_kpa},
    {17, Signal::intake_temp_c},   {21, Signal::battery_v}};

std::vector<double> numbers(const std::string& line) {
    std::vector<double> row;
    for (std::size_t from = 0; from < line.size();) {
        const std::size_t comma = std::min(line.find(',', from), line.size());
        const std::size_t first = line.find_first_not_of(' ', from);
        double value = std::numeric_limits<double>::quiet_NaN();
        if (first < comma) std::from_chars(line.data() + first, line.data() + comma, value);
        row.push_back(value);
        from = comma + 1;
    }
    return row;
}

/// Run time is whole seconds and the rows between share one: they are spread evenly over the drive.
Log read_drive(const std::filesystem::path& path) {
    Log log{.file = path.filename().string(), .format = "csv", .time_bases = {{}}, .channels = {}};
    for (const Column& column : kColumns) {
        Channel channel;
        channel.name = info(column.signal).name;
        channel.key = ChannelKey{column.signal, 0};
        channel.unit = info(column.signal).unit;
        log.channels.push_back(std::move(channel));
    }
    std::ifstream file(path);
    std::string line;
    std::getline(file, line);
    double end_s = 0.0;
    std::size_t rows = 0;
    while (std::getline(file, line)) {
        const std::vector<double> row = numbers(line);
        if (row.size() < 27) continue;
        end_s = std::max(end_s, row[0]);
        for (std::size_t c = 0; c < std::size(kColumns); ++c) log.channels[c].values.push_back(row[kColumns[c].at]);
        ++rows;
    }
    for (std::size_t i = 0; i < rows; ++i)
        log.time_bases[0].seconds.push_back(end_s * static_cast<double>(i) / static_cast<double>(rows));
    return log;
}

JobSheet small_car() {
    JobSheet job = testing::test_job();
    job.car.gear_ratios = {3.55, 1.91, 1.31, 0.97, 0.82};
    job.car.final_drive = 4.1;
    job.car.rolling_circumference_m = 1.84;
    job.car.tyre.speed_symbol = "T";
    job.engine.displacement_cm3 = 1496.0;
    job.engine.aspiration = Aspiration::naturally_aspirated;
    job.engine.injection = Injection::port;
    job.limits = Limits(false);
    return job;
}

TEST(HealthyDrives, NothingIsStoppedMendedOrWatchedAndTheTrimsAreJudged) {
    const std::filesystem::path folder = "../shared/data/obd-drives";
    if (!std::filesystem::exists(folder)) GTEST_SKIP() << folder << " is not there";
    for (const char* name : {"drive9.csv", "idle1.csv", "ufpe1.csv"}) {
        SCOPED_TRACE(name);
        const Review found = testing::review_log(read_drive(folder / name), small_car());
        for (const Finding& finding : found.findings) {
            EXPECT_LT(finding.severity, Severity::mend) << finding.text;
            if (finding.check == "battery" || finding.check == "fuel-trim" || finding.check == "speed-limiter") {
                EXPECT_EQ(finding.severity, Severity::clear) << finding.text;
            }
        }
        ASSERT_NE(worst(found, "battery"), nullptr);
        ASSERT_NE(worst(found, "fuel-trim"), nullptr);
        for (const char* check : {"misfire", "gear-slip", "torque-intervention", "injector-time"})
            EXPECT_NE(unchecked(found, check), nullptr) << check;
    }
}

}  // namespace
}  // namespace revwright
