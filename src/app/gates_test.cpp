#include "app/gates.h"

#include <gtest/gtest.h>

namespace revwright::app {
namespace {

struct GatesCase {
    JobSheet job;
    Review review;
    Log log;
    TableSet tables;
    RunEntry run;
    DrivenLog driven;

    GatesCase() {
        review.logs = {"run.csv"};
        review.pulls = {{.index = 0}, {.index = 1}};
        run.fuel_batch = "delivery of 2 March";
        driven = {.log = &log, .run = &run, .tables = &tables};
    }
    std::string closed() const {
        std::string names;
        for (const Gate& gate : gates(job, review, {&driven, 1}))
            if (!gate.holds) names += (names.empty() ? "" : ", ") + gate.name;
        return names;
    }
};

TEST(Gates, HoldOnACleanRevisionWithItsImageAndFuelKnown) {
    GatesCase c;
    EXPECT_EQ(c.closed(), "");
    EXPECT_TRUE(all_hold(gates(c.job, c.review, {&c.driven, 1})));
}

TEST(Gates, EachClosesForItsOwnReason) {
    GatesCase few;
    few.review.pulls.pop_back();
    EXPECT_EQ(few.closed(), "pulls");

    GatesCase open;
    open.review.findings = {{.check = "lambda-lean", .severity = Severity::watch}};
    EXPECT_EQ(open.closed(), "");
    open.review.findings[0].severity = Severity::mend;
    EXPECT_EQ(open.closed(), "findings");

    GatesCase unchecked;
    unchecked.review.not_checked = {{"exhaust-temperature", {"exhaust_temp_c"}, Standing::modelled}};
    EXPECT_EQ(unchecked.closed(), "");
    unchecked.review.not_checked.push_back({"lambda-lean", {"lambda"}, Standing::required});
    EXPECT_EQ(unchecked.closed(), "required checks");

    GatesCase unknown;
    unknown.driven.tables = nullptr;
    EXPECT_EQ(unknown.closed(), "image");

    GatesCase fuel;
    fuel.run.fuel_batch.clear();
    EXPECT_EQ(fuel.closed(), "fuel");
    fuel.run.ron = 98.0;
    EXPECT_EQ(fuel.closed(), "");
}

}  // namespace
}  // namespace revwright::app
