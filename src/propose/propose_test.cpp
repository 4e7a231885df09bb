#include "propose/propose.h"

#include <cmath>
#include <gtest/gtest.h>

#include "propose/case_for_test.h"

namespace revwright {
namespace {

constexpr std::size_t kSpark = 0, kLambda = 1, kBoost = 2;
constexpr std::size_t kMiddle = 7;  // 4000 rpm, 150 %

/// The middle cell of a table: its change, its bound, and a part of its sentence.
void expect_middle(const ProposeCase& c, std::size_t table, double change, Bound bound, const std::string& says) {
    const auto made = c.run_it();
    ASSERT_TRUE(made) << made.error().what;
    const ProposedCell* cell = cell_of(*made, table, kMiddle);
    ASSERT_NE(cell, nullptr);
    EXPECT_NEAR(cell->to - cell->from, change, 1e-9) << cell->text;
    EXPECT_EQ(to_string(cell->bound), to_string(bound)) << cell->text;
    EXPECT_NE(cell->text.find(says), std::string::npos) << cell->text;
}

CellEvidence& middle(ProposeCase& c, std::size_t table) { return c.evidence[table].cells[kMiddle]; }

TEST(Propose, CleanEvidenceRaisesSparkByTheFirstStepAndNothingElse) {
    const ProposeCase c;
    expect_middle(c, kSpark, 1.0, Bound::step, "Raised by 1 deg: the first step from the standard image is 1 deg.");
    expect_middle(c, kLambda, 0.0, Bound::temperature, "was not measured");
    expect_middle(c, kBoost, 0.0, Bound::chain, "demand chain");
    EXPECT_EQ(c.proposal().tables[kSpark].cells.size(), 15u);
    EXPECT_TRUE(c.proposal().refused.empty());
}

TEST(Propose, ALaterStepIsLongerAndTheTotalEndsIt) {
    ProposeCase c;
    c.standard.tables[kSpark].values.assign(15, 9.75);
    expect_middle(c, kSpark, 1.5, Bound::step, "a step is 1.5 deg");
    c.standard.tables[kSpark].values.assign(15, 8.5);
    expect_middle(c, kSpark, 0.5, Bound::step, "within 2 deg of standard until best-torque");
    c.standard.tables[kSpark].values.assign(15, 7.0);
    expect_middle(c, kSpark, 0.0, Bound::step, "Held: spark stays within 2 deg of standard");
    c.standard.tables.clear();
    expect_middle(c, kSpark, 0.0, Bound::step, "no such cell");
}

TEST(Propose, TooLittleEvidenceHoldsSpark) {
    const auto with = [](auto change) {
        ProposeCase c;
        change(middle(c, kSpark));
        return c;
    };
    expect_middle(with([](CellEvidence& e) { e.pulls = 1.0; }), kSpark, 0.0, Bound::evidence, "1 of 2 pulls");
    expect_middle(with([](CellEvidence& e) { e.events = 60.0; }), kSpark, 0.0, Bound::evidence, "60 of 100 combustion");
    expect_middle(with([](CellEvidence& e) { e.knock_rate_upper = 0.041; }), kSpark, 0.0, Bound::evidence, "4.1 %");
    expect_middle(with([](CellEvidence& e) { e.knock_censored = true; }), kSpark, 0.0, Bound::evidence, "ceiling");
    expect_middle(with([](CellEvidence& e) {
                      e.worst_cylinder = 3;
                      e.worst_cylinder_knock_events = 2.0;
                  }),
                  kSpark, 0.0, Bound::evidence, "cylinder 3 knocked 2 times");
    expect_middle(with([](CellEvidence& e) { e.knocked_at = 11.5; }), kSpark, 0.5, Bound::knock,
                  "knocked twice at 11.5");
}

TEST(Propose, AConditionalTableIsHeld) {
    ProposeCase c;
    c.job.image->roles[Role::spark][0].when = "octane-low";
    expect_middle(c, kSpark, 0.0, Bound::evidence, "only under a condition");
}

TEST(Propose, ACellNoRunVisitedFollowsTheLeastOfItsNeighbours) {
    ProposeCase c;
    std::erase_if(c.evidence[kSpark].cells, [](const CellEvidence& e) { return e.flat == kMiddle; });
    expect_middle(c, kSpark, 1.0, Bound::evidence, "no further than its visited neighbours");
    c.evidence[kSpark].cells[4].knocked_at = 11.5;  // 3000 rpm, 150 %: may rise by half a degree
    expect_middle(c, kSpark, 0.5, Bound::evidence, "no further than its visited neighbours");
    c.evidence[kSpark].cells[4].knocked_at = 10.0;
    expect_middle(c, kSpark, 0.0, Bound::evidence, "no run visited this cell");
}

TEST(Propose, NothingRisesBeyondTheVisitedCells) {
    ProposeCase c;
    std::erase_if(c.evidence[kSpark].cells, [](const CellEvidence& e) { return e.flat / 3 == 4; });  // 6000 rpm
    const Proposal p = c.proposal();
    EXPECT_EQ(cell_of(p, kSpark, 13)->to, 10.0);
    EXPECT_NE(cell_of(p, kSpark, 13)->text.find("does not lie between"), std::string::npos);
}

TEST(Propose, LeanerOnlyWithAMeasuredExhaustAndNoSparkRaise) {
    ProposeCase c;
    c.hot_exhaust(880.0);  // margin 70 K, 50 in reserve: 0.02
    expect_middle(c, kLambda, 0.0, Bound::step, "here it is spark");
    for (CellEvidence& e : c.evidence[kSpark].cells) e.pulls = 0.0;
    expect_middle(c, kLambda, 0.02, Bound::temperature, "70 K of margin");
    middle(c, kLambda).lambda_max = 0.895;
    expect_middle(c, kLambda, 0.005, Bound::envelope, "0.895 was measured here");
    c.log.channels.back().before_turbine = false;
    expect_middle(c, kLambda, 0.0, Bound::temperature, "was not measured");
}

TEST(Propose, LeanerThanBestTorqueIsNotWanted) {
    ProposeCase c;
    c.hot_exhaust(700.0);
    for (CellEvidence& e : c.evidence[kSpark].cells) e.pulls = 0.0;
    ProposeCase::set(c.parent.tables[kLambda], 0.885);
    expect_middle(c, kLambda, 0.0, Bound::best_torque, "no more torque");
}

TEST(Propose, ATargetLeanerThanTheFloorComesDownAtFullLoadOnly) {
    ProposeCase c;
    ProposeCase::set(c.parent.tables[kLambda], 0.94);
    expect_middle(c, kLambda, -0.04, Bound::envelope, "no leaner than 0.9");
    std::erase_if(c.evidence[kLambda].cells, [](const CellEvidence& e) { return e.flat % 3 == 0; });  // 100 %
    EXPECT_EQ(cell_of(c.proposal(), kLambda, 0), nullptr) << "out of reach of full load and unmoved";
}

TEST(Propose, LowSpeedNamesTheBoostCellsBelowIt) {
    const Proposal p = ProposeCase().proposal();
    EXPECT_EQ(cell_of(p, kBoost, 1)->bound, Bound::low_speed);
    EXPECT_EQ(cell_of(p, kBoost, 4)->bound, Bound::chain);
}

TEST(Propose, TheTablesEndAndItsCountHoldACell) {
    ProposeCase c;
    c.parent.tables[kSpark].description.max = 10.5;
    expect_middle(c, kSpark, 0.5, Bound::table, "the table ends at 10.5 deg");
    c.parent.tables[kSpark].description.max.reset();
    c.job.policy.first_spark_step_deg = 0.2;
    expect_middle(c, kSpark, 0.0, Bound::table, "one count of the table is 0.25 deg");
}

TEST(Propose, RoundsDownToWhatTheImageHolds) {
    ProposeCase c;
    c.job.policy.first_spark_step_deg = 0.9;
    expect_middle(c, kSpark, 0.75, Bound::step, "0.9 deg");
    Table& spark = c.parent.tables[kSpark];
    spark.description.coding.factor = -0.25;  // a table that stores retard
    for (double& raw : spark.raw) raw = -raw;
    expect_middle(c, kSpark, 0.75, Bound::step, "0.9 deg");
}

TEST(Propose, AMeasuredGoalEndsTheWork) {
    ProposeCase c;
    c.job.goal.torque_nm = 400.0;
    c.add({Signal::dyno_torque_nm}, [](double t) { return 395.0 + t; });
    expect_middle(c, kSpark, 0.0, Bound::goal, "403 Nm, and the goal is 400 Nm");
    c.job.goal.torque_nm = 410.0;
    expect_middle(c, kSpark, 1.0, Bound::step, "first step");
}

TEST(Propose, SmoothnessHoldsBesideACellThatMustFall) {
    ProposeCase c;
    c.review.findings = {c.finding("knock-repeated", Severity::mend, 6.0, "deg", {"spark"})};
    c.review.findings[0].duration_s = 0.0;
    const Proposal p = c.proposal();
    EXPECT_EQ(cell_of(p, kSpark, kMiddle)->to, 6.0) << "1 + (6 - 3) degrees";
    const ProposedCell& beside = *cell_of(p, kSpark, kMiddle + 1);
    EXPECT_EQ(beside.to, 7.5);
    EXPECT_EQ(beside.bound, Bound::smoothness) << beside.text;
    EXPECT_NE(beside.text.find("no cliff"), std::string::npos);
}

TEST(Propose, AStopLetsNothingRise) {
    ProposeCase c;
    c.review.findings = {c.finding("oil-window", Severity::stop, 141.0, "C", {"hardware"})};
    const Proposal p = c.proposal();
    for (const ProposedTable& table : p.tables)
        for (const ProposedCell& cell : table.cells) EXPECT_LE(cell.to, cell.from) << cell.text;
    expect_middle(c, kSpark, 0.0, Bound::finding, "oil-window");
    EXPECT_EQ(c.proposal(false).tables[kSpark].cells[kMiddle].to, 11.0) << "a stop of an older revision is history";
}

TEST(Propose, KnockLowersSparkByWhatStandsAboveTheLimit) {
    ProposeCase c;
    c.review.findings = {c.finding("knock-repeated", Severity::mend, 3.5, "deg", {"spark", "boost_target"})};
    expect_middle(c, kSpark, -1.5, Bound::finding, "knock-repeated (mend) at 4000 rpm asks for 1.5 deg less");
    EXPECT_TRUE(c.proposal().refused.empty());
}

TEST(Propose, ALeanMixtureIsMadeRicherWhereTheTargetCuresIt) {
    ProposeCase c;
    c.review.findings = {c.finding("lambda-lean", Severity::mend, 0.924, "1", {"lambda_target"})};
    expect_middle(c, kLambda, -0.03, Bound::finding, "lambda-lean");  // 1.25 x 0.024
    expect_middle(c, kSpark, 0.0, Bound::finding, "is not cured here yet");
}

TEST(Propose, AHotExhaustIsMadeRicherButNeverPastTheRichestMixture) {
    ProposeCase c;
    c.review.findings = {c.finding("exhaust-temperature", Severity::mend, 965.0, "C", {"spark", "lambda_target"})};
    expect_middle(c, kLambda, -0.03, Bound::finding, "exhaust-temperature");  // 15 K at 5 K per 0.01
    c.review.findings[0].value = 1100.0;
    expect_middle(c, kLambda, -0.10, Bound::finding, "exhaust-temperature");  // to 0.75
    const Proposal p = c.proposal();
    for (const ProposedCell& cell : p.tables[kSpark].cells) EXPECT_GE(cell.to, cell.from) << cell.text;
}

TEST(Propose, BoostFindingsLowerTheTarget) {
    ProposeCase c;
    c.review.findings = {c.finding("boost-overshoot", Severity::mend, 17.0, "kPa", {"wastegate_duty", "boost_target"})};
    expect_middle(c, kBoost, -7.0, Bound::finding, "boost-overshoot");
    c.review.findings = {c.finding("fuel-pressure", Severity::mend, 14.0, "%", {"boost_target"})};
    expect_middle(c, kBoost, -8.0, Bound::finding, "fuel-pressure");  // 4 % of 200 kPa
}

TEST(Propose, AFindingWithoutALeverIsRefusedByName) {
    ProposeCase c;
    c.review.findings = {c.finding("throttle-closing", Severity::mend, 70.0, "%", {"torque_limit"}),
                         c.finding("throttle-closing", Severity::mend, 75.0, "%", {"torque_limit"})};
    const Proposal p = c.proposal();
    ASSERT_EQ(p.refused.size(), 1u) << "one refusal for a check";
    EXPECT_EQ(p.refused[0].role, "torque_limit");
    EXPECT_TRUE(p.refused[0].reason.starts_with("throttle-closing: no table of this job cures it"))
        << p.refused[0].reason;
    EXPECT_EQ(cell_of(p, kSpark, kMiddle)->to, 10.0) << "nothing rises where a mend stands open";
    EXPECT_EQ(cell_of(p, kSpark, 1)->to, 11.0) << "elsewhere it may";
}

TEST(Propose, ATableThatCannotBeWrittenIsRefused) {
    ProposeCase c;
    c.parent.tables[kBoost].description.writable = false;
    c.parent.tables[kBoost].description.why_not = "its formula has no inverse";
    const Proposal p = c.proposal();
    EXPECT_EQ(p.tables.size(), 2u);
    ASSERT_EQ(p.refused.size(), 1u);
    EXPECT_EQ(p.refused[0].reason, "table BOOST cannot be written: its formula has no inverse");
}

TEST(Propose, WithoutAnImageThereIsNothingToPropose) {
    ProposeCase c;
    c.job.image.reset();
    EXPECT_FALSE(c.run_it());
}

}  // namespace
}  // namespace revwright
