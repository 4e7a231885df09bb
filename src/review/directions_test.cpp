#include "review/directions.h"

#include <gtest/gtest.h>

#include "review/pulls.h"
#include "review/review_test_log.h"

namespace revwright {
namespace {

using testing::TestDrive;

struct Ways {
    std::vector<double> heading_deg = {};  // one per pull
    std::vector<double> slope = {};
    std::string label = {};
};

/// Pulls of one log driven these ways.
std::vector<Pull> driven(const Ways& ways) {
    const JobSheet job = testing::test_job();
    const std::size_t count = std::max(ways.heading_deg.size(), ways.slope.size());
    TestDrive drive;
    Log log = drive.clean_pulls(static_cast<int>(count)).log();
    const std::vector<double>& times = log.time_bases[0].seconds;
    const auto leg = [&](double t) {
        return std::min(count - 1, static_cast<std::size_t>(std::max(0.0, t - 4.0) / 12.0));
    };
    const auto add = [&](Signal signal, auto value) {
        Channel channel;
        channel.key = ChannelKey{signal, 0};
        for (std::size_t i = 0; i < times.size(); ++i) channel.values.push_back(value(i));
        log.channels.push_back(std::move(channel));
    };
    if (!ways.heading_deg.empty())
        add(Signal::heading_deg,
            [&](std::size_t i) { return ways.heading_deg[leg(times[i])] + (i % 2 == 0 ? 3.0 : -3.0); });
    const std::vector<double> speed = log.find(Signal::vehicle_speed_km_h)->values;
    double altitude = 100.0;
    if (!ways.slope.empty())
        add(Signal::altitude_m, [&](std::size_t i) {
            if (i > 0) altitude += ways.slope[leg(times[i])] * speed[i] / 3.6 * (times[i] - times[i - 1]);
            return altitude + (i % 3 == 0 ? 0.3 : -0.15);
        });
    RunEntry entry;
    entry.direction = ways.label;
    RunView run{.job = &job, .driven = {.log = &log, .run = &entry}};
    run.pulls = find_pulls(log, job, 0).pulls;
    EXPECT_EQ(run.pulls.size(), count);
    name_directions({&run, 1});
    return run.pulls;
}

std::vector<std::string> names(const std::vector<Pull>& pulls) {
    std::vector<std::string> directions;
    for (const Pull& pull : pulls) directions.push_back(pull.direction);
    return directions;
}

TEST(Directions, AHeadingTellsThereFromBackAndAcross) {
    using List = std::vector<std::string>;
    EXPECT_EQ(names(driven({.heading_deg = {350, 172, 8}})), (List{"out", "back", "out"})) << "north lies at 0 and 360";
    EXPECT_EQ(names(driven({.heading_deg = {90, 180}})), (List{"out", "across"}));
    EXPECT_EQ(names(driven({.heading_deg = {350, 172}, .label = "uphill"})), (List{"uphill", "against uphill"}));
    EXPECT_EQ(names(driven({.slope = {0.03, -0.03}})), (List{"out", "back"}));
    EXPECT_EQ(names(driven({.slope = {0.002, -0.002}})), (List{"", ""})) << "level: altitude drifts as much";
    EXPECT_EQ(names(driven({.slope = {0.002, -0.002}, .label = "north"})), (List{"north", "north"}));
}

TEST(Directions, OppositePullsOfOneGearArePairedOnce) {
    std::vector<Pull> pulls = driven({.heading_deg = {90, 270, 92, 268}});
    EXPECT_EQ(opposite_pairs(pulls).size(), 2u);
    ASSERT_EQ(direction_notes(pulls).size(), 1u);
    EXPECT_EQ(direction_notes(pulls)[0], "Pulls 1, 3 were driven the opposite way to pull 0.");
    pulls[1].gear = 4;
    EXPECT_EQ(opposite_pairs(pulls).size(), 1u);
}

TEST(Directions, TwoLabelsOfAJobAreOppositeAndThreeAreNot) {
    const auto labelled = [](std::size_t log, std::string label) {
        return Pull{.index = log, .log = log, .gear = 3, .direction = std::move(label)};
    };
    std::vector<Pull> pulls{labelled(0, "to the mill"), labelled(1, "from the mill"), labelled(2, "to the mill")};
    EXPECT_TRUE(opposite(pulls[0], pulls[1], pulls));
    EXPECT_FALSE(opposite(pulls[0], pulls[2], pulls));
    EXPECT_EQ(opposite_pairs(pulls).size(), 1u);
    pulls[2].direction = "airfield";
    EXPECT_FALSE(opposite(pulls[0], pulls[1], pulls)) << "which of three is the other way nobody said";
    EXPECT_TRUE(direction_notes(pulls).empty());
}

}  // namespace
}  // namespace revwright
