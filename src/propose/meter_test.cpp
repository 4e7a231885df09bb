#include "propose/meter.h"

#include <gtest/gtest.h>

#include "propose/case_for_test.h"

namespace revwright {
namespace {

/// The case of the other tests, with a meter curve read over the metered flow, a probe that reads lean of its target by
/// `ratio`, the finding that says so, and a housing of 70 mm that became 72.5 mm: 7.3 % more area (CHECKS 4).
struct MeterCase : ProposeCase {
    explicit MeterCase(double ratio) {
        job.image->roles[Role::air_meter] = {{"METER", "", {}}};
        Table curve;
        curve.description.name = "METER";
        curve.description.quantity = {Signal::air_mass_flow_g_s};
        curve.description.coding = {RawType::u16, ByteOrder::big, 0.01, 0.0};
        curve.description.shape = {4};
        curve.axes = {*Axis::make("METER", {Signal::air_mass_flow_g_s}, {2.0, 50.0, 100.0, 200.0})};
        curve.raw = {200.0, 5000.0, 10000.0, 20000.0};
        for (const double raw : curve.raw) curve.values.push_back(0.01 * raw);
        parent.tables.push_back(curve);
        standard = parent;
        add({Signal::air_mass_flow_g_s}, [](double t) { return 60.0 + 12.0 * t; });
        add({Signal::lambda_target}, [](double) { return 0.80; });
        add({Signal::lambda}, [=](double) { return 0.80 * ratio; });
        Hardware housing;
        housing.kind = HardwareKind::air_meter;
        housing.bore_mm = BeforeAfter{70.0, 72.5, {}, {}};
        housing.rescaled = false;
        job.hardware = {housing};
        review.findings = {finding("lambda-follow", Severity::mend, 0.8 * (ratio - 1.0), "1", {"air_meter"})};
    }
    const ProposedTable* curve(const Proposal& p) const {
        for (const ProposedTable& table : p.tables)
            if (table.role == Role::air_meter) return &table;
        return nullptr;
    }
};

TEST(Meter, AnUnscaledHousingRaisesTheWholeCurveByWhatWasMeasured) {
    MeterCase c(1.06);
    const Proposal p = c.proposal();
    const ProposedTable* curve = c.curve(p);
    ASSERT_NE(curve, nullptr);
    EXPECT_TRUE(p.refused.empty());
    ASSERT_EQ(curve->cells.size(), 4u);
    for (const ProposedCell& cell : curve->cells) {
        EXPECT_GE(cell.to, cell.from * 1.06 - 1e-9) << "rounded to the rich side";
        EXPECT_LE(cell.to, cell.from * 1.06 + 0.01);
        EXPECT_EQ(cell.bound, Bound::finding);
    }
    EXPECT_EQ(curve->cells[0].evidence.events, 0.0) << "no pull drew so little air";
    EXPECT_GT(curve->cells[1].evidence.events, 100.0);
    EXPECT_EQ(cell_of(p, 0, 7)->to, 10.0) << "spark waits until the mixture follows";
}

TEST(Meter, ARatioBeyondTheHousingIsRefused) {
    MeterCase c(1.12);
    const Proposal p = c.proposal();
    EXPECT_EQ(c.curve(p), nullptr);
    ASSERT_EQ(p.refused.size(), 1u);
    EXPECT_EQ(
        p.refused[0].reason,
        "lambda-follow: lambda is 12.0 % lean of its target, and the wider housing explains 7.3 %: something else "
        "is wrong too");
}

TEST(Meter, WhatTheParentCarriesAlreadyIsNotCorrectedTwice) {
    MeterCase c(1.06);
    for (std::size_t i = 0; i < 4; ++i) {
        c.parent.tables[3].raw[i] = std::ceil(c.standard.tables[3].raw[i] * 1.073);
        c.parent.tables[3].values[i] = 0.01 * c.parent.tables[3].raw[i];
    }
    const Proposal p = c.proposal();
    EXPECT_EQ(c.curve(p), nullptr);
    ASSERT_EQ(p.refused.size(), 1u);
    EXPECT_TRUE(p.refused[0].reason.find("something else is wrong too") != std::string::npos) << p.refused[0].reason;
}

TEST(Meter, WithoutAChangedHousingTheCurveIsNotTouched) {
    MeterCase c(1.06);
    c.job.hardware.clear();
    const Proposal p = c.proposal();
    EXPECT_EQ(c.curve(p), nullptr);
    ASSERT_EQ(p.refused.size(), 1u);
    EXPECT_TRUE(p.refused[0].reason.find("injectors or fuel pressure may be at fault") != std::string::npos);
}

TEST(Meter, ARichMixtureIsNoReasonToMoveIt) {
    MeterCase c(0.95);
    c.review.findings[0].value = -0.04;
    const Proposal p = c.proposal();
    EXPECT_EQ(c.curve(p), nullptr);
    ASSERT_EQ(p.refused.size(), 1u);
    EXPECT_TRUE(p.refused[0].reason.starts_with("lambda-follow: no table of this job cures it"));
}

}  // namespace
}  // namespace revwright
