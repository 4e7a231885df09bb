#include <cmath>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>
#include <set>

#include "image/build.h"
#include "image/checksum.h"
#include "image/compare.h"
#include "image/patch.h"
#include "image/random_image.h"
#include "image/read.h"
#include "model/coding.h"

namespace rc {
template <>
struct Arbitrary<revwright::SampleImage> {
    static Gen<revwright::SampleImage> arbitrary() { return revwright::sample_image(); }
};
}  // namespace rc

namespace revwright {
namespace {

/// Addresses of every byte that may move: written down apart from the code under test.
std::set<std::uint64_t> may_move(const SampleImage& sample, const Proposal& proposal) {
    std::set<std::uint64_t> addresses;
    for (const Approval& approval : proposal.approvals) {
        const TableDescription& table = *sample.description.find(approval.table);
        std::size_t position = 0;
        if (table.shape.size() == 1) position = approval.at[0];
        if (table.shape.size() == 2)
            position = table.column_major ? approval.at[1] * table.shape[0] + approval.at[0]
                                          : approval.at[0] * table.shape[1] + approval.at[1];
        for (std::size_t i = 0; i < size_of(table.coding.type); ++i)
            addresses.insert(table.address + position * size_of(table.coding.type) + i);
    }
    for (const ChecksumRegion& region : sample.regions)
        for (std::uint64_t i = 0; i < store_range(region).length; ++i) addresses.insert(region.store + i);
    return addresses;
}

RC_GTEST_PROP(Build, ApprovedCellsReadAsProposedAndNothingElseMoves, (const SampleImage& sample)) {
    const Proposal proposal = *approved_proposal(sample);
    const auto built = build(sample.image, sample.description, sample.regions, proposal);
    RC_ASSERT(built.has_value());

    const std::set<std::uint64_t> allowed = may_move(sample, proposal);
    RC_ASSERT(built->image.bytes.size() == sample.image.bytes.size());
    for (std::size_t i = 0; i < sample.image.bytes.size(); ++i)
        if (built->image.bytes[i] != sample.image.bytes[i]) RC_ASSERT(allowed.contains(sample.image.base_address + i));

    TableSet expected = *read_tables(sample.description, sample.image);
    for (const ProposedTable& table : proposal.tables)
        for (const ProposedCell& cell : table.cells)
            for (Table& t : expected.tables)
                if (t.name() == table.table) t.values[t.flat(cell.at)] = cell.to;
    const TableSet found = *read_tables(sample.description, built->image);
    for (std::size_t t = 0; t < expected.tables.size(); ++t)
        for (std::size_t i = 0; i < expected.tables[t].values.size(); ++i) {
            const Table& table = found.tables[t];
            RC_ASSERT(std::abs(table.values[i] - expected.tables[t].values[i]) <=
                      slack(table.description.coding, table.raw[i]));
        }
    const auto states = check_all(sample.regions, built->image);
    RC_ASSERT(states.has_value());
    for (const ChecksumState& state : *states) RC_ASSERT(state.ok());
    RC_ASSERT(built->image.digest == sha256(built->image.bytes));
}

RC_GTEST_PROP(Build, InversePatchRestoresTheParentExactly, (const SampleImage& sample)) {
    const auto built = build(sample.image, sample.description, sample.regions, *approved_proposal(sample));
    RC_ASSERT(built.has_value());
    const auto parent = undo(built->image, built->inverse);
    RC_ASSERT(parent.has_value());
    RC_ASSERT(parent->bytes == sample.image.bytes);
    RC_ASSERT(parent->digest == sample.image.digest);
}

RC_GTEST_PROP(Build, WithoutApprovalsTheParentIsBuiltAgain, (const SampleImage& sample)) {
    Proposal proposal = *approved_proposal(sample);
    proposal.approvals.clear();
    const auto built = build(sample.image, sample.description, sample.regions, proposal);
    RC_ASSERT(built.has_value());
    RC_ASSERT(built->image.bytes == sample.image.bytes);
    RC_ASSERT(built->cells.empty() && built->checksums.empty() && built->inverse.entries.empty());
}

RC_GTEST_PROP(Compare, FindsTheCellsThatWereBuilt, (const SampleImage& sample)) {
    const auto built = build(sample.image, sample.description, sample.regions, *approved_proposal(sample));
    RC_ASSERT(built.has_value());
    const auto comparison = compare(sample.description, sample.regions, sample.image, built->image);
    RC_ASSERT(comparison.has_value());
    RC_ASSERT(comparison->outside.empty());
    std::size_t cells = 0;
    for (const TableDifference& table : comparison->tables) {
        RC_ASSERT(!table.axis);
        cells += table.cells.size();
    }
    RC_ASSERT(cells == built->cells.size());
}

RC_GTEST_PROP(Coding, SafeSideNeverPassesTheWantedValueAndIsTheNearestThere, ()) {
    TableDescription table;
    table.coding.type = *rc::gen::element(RawType::u8, RawType::i8, RawType::u16, RawType::i32, RawType::f32);
    table.coding.factor = *rc::gen::element(1.0, 0.75, -0.5, 0.001, -0.1);
    table.coding.offset = *rc::gen::element(0.0, -40.0, 273.15);
    const double wanted = *rc::gen::inRange(-400000, 400000) / 1000.0;
    if (const auto down = raw_toward(table, wanted, Direction::down)) {
        const double value = physical(table.coding, *down), step = resolution(table.coding, *down);
        RC_ASSERT(value <= wanted + slack(table.coding, *down));
        const double end =
            table.coding.factor > 0.0 ? raw_range(table.coding.type).high : raw_range(table.coding.type).low;
        RC_ASSERT(*down == end || value + step > wanted - slack(table.coding, *down));
    }
    if (const auto up = raw_toward(table, wanted, Direction::up)) {
        const double value = physical(table.coding, *up), step = resolution(table.coding, *up);
        RC_ASSERT(value >= wanted - slack(table.coding, *up));
        const double end =
            table.coding.factor > 0.0 ? raw_range(table.coding.type).low : raw_range(table.coding.type).high;
        RC_ASSERT(*up == end || value - step < wanted + slack(table.coding, *up));
    }
}

}  // namespace
}  // namespace revwright
