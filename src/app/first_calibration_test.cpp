#include "app/first_calibration.h"

#include <cmath>
#include <gtest/gtest.h>

#include "rig/example_car.h"

namespace revwright::app {
namespace {

/// Evidence that full load read one cell of a table.
TableEvidence read_at(Role role, const Table& table, CellIndex at) {
    CellEvidence cell;
    cell.flat = table.flat(at);
    cell.pulls = 4;
    cell.events = 300;
    return {role, table.name(), {cell}};
}

TEST(FirstCalibration, StepsBackWhereFullLoadWasAndAboveItAndNowhereElse) {
    const TableSet standard = rig::standard_tables();
    const Table& spark = *standard.find("SPARK_MAIN");
    const Table& lambda = *standard.find("LAMBDA_FULL");
    JobSheet job;
    job.hardware.resize(1);
    const std::vector<TableEvidence> evidence{read_at(Role::spark, spark, {8, 9}),
                                              read_at(Role::lambda_target, lambda, {6, 7})};
    const Proposal proposal = first_calibration(job, standard, evidence, {});
    ASSERT_EQ(proposal.tables.size(), 2u);
    EXPECT_EQ(proposal.parent, standard.image);
    EXPECT_EQ(proposal.tables[0].cells.size(), spark.axes[1].size() - 9)
        << "the cell, and more charge at the same speed";
    for (const ProposedTable& table : proposal.tables)
        for (const ProposedCell& cell : table.cells) {
            EXPECT_LT(cell.to, cell.from) << "less spark, richer";
            const double factor = standard.find(table.table)->description.coding.factor;
            EXPECT_NEAR(std::remainder(cell.to - cell.from, factor), 0.0, 1e-9) << "a value the image can hold";
        }
}

TEST(FirstCalibration, WithoutChangedHardwareThereIsNothingToStepBackFrom) {
    const TableSet standard = rig::standard_tables();
    const std::vector<TableEvidence> evidence{read_at(Role::spark, *standard.find("SPARK_MAIN"), {8, 9})};
    EXPECT_TRUE(first_calibration(JobSheet{}, standard, evidence, {}).tables.empty());
}

}  // namespace
}  // namespace revwright::app
