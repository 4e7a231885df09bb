#include <cmath>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "propose/case_for_test.h"

namespace revwright {
namespace {

double pick(int low, int high, double unit) { return unit * *rc::gen::inRange(low, high); }

/// Any tables, any evidence, any findings: only the axes stay.
ProposeCase any_case() {
    ProposeCase c;
    constexpr double kFactors[] = {0.25, 0.75, 0.4, 1.0};
    c.parent.tables[0].description.coding.factor = kFactors[*rc::gen::inRange(0, 4)];
    if (*rc::gen::arbitrary<bool>()) c.parent.tables[0].description.max = pick(0, 30, 0.5);
    if (*rc::gen::arbitrary<bool>()) c.parent.tables[0].description.min = pick(-10, 20, 0.5);
    for (std::size_t flat = 0; flat < 15; ++flat) {
        ProposeCase::set(c.parent.tables[0], flat, pick(-8, 80, 0.25));
        ProposeCase::set(c.parent.tables[1], flat, pick(150, 205, 0.005));
        ProposeCase::set(c.parent.tables[2], flat, pick(300, 500, 0.5));
        c.standard.tables[0].values[flat] = c.parent.tables[0].values[flat] + pick(-12, 4, 0.25);
    }
    for (TableEvidence& table : c.evidence) {
        for (CellEvidence& e : table.cells) {
            e.pulls = pick(0, 5, 1.0);
            e.events = pick(0, 500, 1.0);
            e.knock_rate_upper = pick(1, 40, 0.001);
            e.worst_cylinder_knock_events = pick(0, 3, 1.0);
            e.knock_censored = pick(0, 8, 1.0) == 0.0;
        }
        std::erase_if(table.cells, [](const CellEvidence&) { return *rc::gen::inRange(0, 5) == 0; });
    }
    if (*rc::gen::arbitrary<bool>()) c.hot_exhaust(pick(700, 1000, 1.0));
    const char* checks[] = {"knock-repeated", "lambda-lean", "exhaust-temperature", "boost-overshoot", "fuel-pressure"};
    const double values[] = {4.0, 0.94, 970.0, 19.0, 15.0};
    const char* levers[] = {"spark", "lambda_target", "lambda_target", "boost_target", "boost_target"};
    for (std::size_t i = 0; i < 5; ++i) {
        const int kind = *rc::gen::inRange(0, 12);
        if (kind < 3)
            c.review.findings.push_back(c.finding(checks[i], kind == 0 ? Severity::stop : Severity::mend, values[i],
                                                  i == 0 ? "deg" : "1", {levers[i]}));
    }
    return c;
}

bool enough(const CellEvidence* e, const Policy& policy) {
    return e && !e->knock_censored && e->worst_cylinder_knock_events < 2.0 && e->pulls >= policy.pulls_needed &&
           e->events >= policy.events_needed && e->knock_rate_upper <= policy.knock_rate_max;
}

void check_spark(const ProposeCase& c, const ProposedCell& cell) {
    if (cell.to <= cell.from) return;
    const std::size_t flat = cell.at[0] * 3 + cell.at[1];
    const double standard = c.standard.tables[0].values[flat];
    const bool first = std::abs(cell.from - standard) < 0.5 * c.parent.tables[0].description.coding.factor;
    RC_ASSERT(cell.to - cell.from <= (first ? 1.0 : 1.5) + 1e-6);
    RC_ASSERT(cell.to <= standard + 2.0 + 1e-6);
    if (const auto most = c.parent.tables[0].description.max) RC_ASSERT(cell.to <= *most + 1e-6);
    const CellEvidence* seen = c.evidence[0].find(flat);
    const bool visited = seen && seen->events > 0.0;
    RC_ASSERT(!visited || enough(seen, c.job.policy));
}

RC_GTEST_PROP(Safety, NoProposalPassesABoundTowardRisk, ()) {
    const ProposeCase c = any_case();
    const auto made = c.run_it();
    if (!made) RC_FAIL(made.error().what);
    bool stopped = false;
    for (const Finding& f : c.review.findings) stopped = stopped || f.severity == Severity::stop;
    for (std::size_t i = 0; i < 3; ++i) {
        const Coding& coding = c.parent.tables[i].description.coding;
        for (const ProposedCell& cell : made->tables[i].cells) {
            RC_ASSERT(!stopped || cell.to <= cell.from);
            RC_ASSERT(!cell.text.empty());
            const double raw = std::round((cell.to - coding.offset) / coding.factor);
            RC_ASSERT(coding.factor * raw + coding.offset == cell.to);
        }
    }
    for (const ProposedCell& cell : made->tables[0].cells) check_spark(c, cell);
    for (const ProposedCell& cell : made->tables[1].cells) {
        RC_ASSERT(cell.to <= std::max(cell.from, 0.90 + 1e-9));
        RC_ASSERT(cell.to - cell.from <= 0.03 + 1e-9);
    }
    for (const ProposedCell& cell : made->tables[2].cells) RC_ASSERT(cell.to <= cell.from);
}

RC_GTEST_PROP(Safety, AtOneSpeedOnlyOneThingRises, ()) {
    const Proposal p = any_case().proposal();
    for (const ProposedCell& spark : p.tables[0].cells)
        for (const ProposedCell& lambda : p.tables[1].cells)
            if (spark.to > spark.from && lambda.to > lambda.from)
                RC_ASSERT(std::abs(static_cast<int>(spark.at[0]) - static_cast<int>(lambda.at[0])) > 1);
}

RC_GTEST_PROP(Safety, ARaisedCellLeavesNoCliff, ()) {
    const ProposeCase c = any_case();
    const Proposal p = c.proposal();
    std::vector<double> change(15, 0.0);
    for (const ProposedCell& cell : p.tables[0].cells) change[cell.at[0] * 3 + cell.at[1]] = cell.to - cell.from;
    for (std::size_t flat = 0; flat < 15; ++flat) {
        if (change[flat] <= 0.0) continue;
        if (flat + 3 < 15) RC_ASSERT(change[flat] - change[flat + 3] <= 1.5 + 1e-6);
        if (flat >= 3) RC_ASSERT(change[flat] - change[flat - 3] <= 1.5 + 1e-6);
        if (flat % 3 < 2) RC_ASSERT(change[flat] - change[flat + 1] <= 1.5 + 1e-6);
        if (flat % 3 > 0) RC_ASSERT(change[flat] - change[flat - 1] <= 1.5 + 1e-6);
    }
}

RC_GTEST_PROP(Safety, SameInputsSameProposal, ()) {
    const ProposeCase c = any_case();
    const Proposal a = c.proposal(), b = c.proposal();
    for (std::size_t i = 0; i < a.tables.size(); ++i) {
        RC_ASSERT(a.tables[i].cells.size() == b.tables[i].cells.size());
        for (std::size_t j = 0; j < a.tables[i].cells.size(); ++j) {
            RC_ASSERT(a.tables[i].cells[j].to == b.tables[i].cells[j].to);
            RC_ASSERT(a.tables[i].cells[j].text == b.tables[i].cells[j].text);
        }
    }
}

}  // namespace
}  // namespace revwright
