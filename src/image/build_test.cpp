#include "image/build.h"

#include <cmath>
#include <functional>
#include <gtest/gtest.h>

#include "image/checksum.h"
#include "image/read.h"
#include "image/verify.h"

namespace revwright {
namespace {

/// Eight cells of i8 at 0x00, factor 0.75 (counts 0 to 7), and a big-endian byte sum of them at 0x0C.
struct Workshop {
    Description description;
    std::vector<ChecksumRegion> regions;
    Image image;
    Proposal proposal;

    Result<BuiltImage> build() const { return revwright::build(image, description, regions, proposal); }
};

AxisDescription fixed(Signal signal, std::vector<double> points) {
    return {{signal}, points.size(), AxisFixed{points}, {}, {}};
}

Workshop workshop() {
    Workshop w;
    TableDescription table;
    table.name = "SPARK_MAIN";
    table.quantity = {Signal::spark_deg};
    table.coding = {RawType::i8, ByteOrder::big, 0.75, 0.0};
    table.min = -20.0;
    table.max = 50.0;
    table.shape = {4, 2};
    table.axes = {fixed(Signal::engine_speed_rpm, {1000.0, 2000.0, 3000.0, 4000.0}),
                  fixed(Signal::charge_pct, {50.0, 100.0})};
    table.place = {"car.tables.toml", 4, 1};
    w.description = {"car.tables.toml", {table}};

    w.image = {"standard.bin", 0, {0, 1, 2, 3, 4, 5, 6, 7, 0xEE, 0xEE, 0xEE, 0xEE, 0x00, 0x1C, 0xEE, 0xEE}, {}};
    w.image.digest = sha256(w.image.bytes);
    ChecksumRegion sum;
    sum.kind = ChecksumKind::sum16;
    sum.start = 0;
    sum.end = 7;
    sum.store = 0xC;
    sum.word = 1;
    sum.where = {"job.toml", 40, 1};
    w.regions = {sum};

    w.proposal.parent = w.image.digest;
    w.proposal.tables = {{Role::spark,
                          "SPARK_MAIN",
                          "deg",
                          {},
                          {{{1, 1}, 2.25, 3.0, Bound::step, {3.0, 240.0, 0.012}, "one step"},
                           {{2, 0}, 3.0, 3.0, Bound::evidence, {1.0, 20.0, 0.13}, "too little seen"}}}};
    w.proposal.approvals = {{Role::spark, "SPARK_MAIN", {1, 1}, "M. Orlan", "2026-11-25T10:00:00Z"}};
    return w;
}

TEST(Build, MovesTheApprovedCellAndItsChecksum) {
    const Workshop w = workshop();
    const auto built = w.build();
    ASSERT_TRUE(built) << built.error().what;
    std::vector<std::uint8_t> expected = w.image.bytes;
    expected[3] = 4;       // cell [1, 1]: 3.0 / 0.75
    expected[0xD] = 0x1D;  // 28 + 1
    EXPECT_EQ(built->image.bytes, expected);
    EXPECT_EQ(built->parent, w.image.digest);
    EXPECT_EQ(built->image.digest, sha256(expected));

    ASSERT_EQ(built->cells.size(), 1u);
    const ChangedCell& cell = built->cells[0];
    EXPECT_EQ(cell.at, (CellIndex{1, 1}));
    EXPECT_EQ(cell.from, 2.25);
    EXPECT_EQ(cell.to, 3.0);
    EXPECT_EQ(cell.raw_from, 3.0);
    EXPECT_EQ(cell.raw_to, 4.0);
    EXPECT_EQ(cell.address, 3u);
    EXPECT_EQ(cell.bound, Bound::step);
    EXPECT_EQ(cell.evidence.events, 240.0);
    EXPECT_EQ(cell.text, "one step");
    EXPECT_EQ(cell.by, "M. Orlan");
    ASSERT_EQ(built->checksums.size(), 1u);
    EXPECT_EQ(built->checksums[0].from, 0x1Cu);
    EXPECT_EQ(built->checksums[0].to, 0x1Du);
    EXPECT_EQ(built->inverse.entries.size(), 2u);
}

TEST(Build, AnApprovedCellThatStaysIsNoChange) {
    Workshop w = workshop();
    w.proposal.approvals[0].at = {2, 0};
    w.description.tables[0].max = 2.0;  // 3.0 lies above it already, and is not ours to move
    const auto built = w.build();
    ASSERT_TRUE(built) << built.error().what;
    EXPECT_EQ(built->image.bytes, w.image.bytes);
    EXPECT_TRUE(built->cells.empty());
}

struct RefusedRow {
    std::function<void(Workshop&)> change;
    std::string sentence;
};

TEST(Build, RefusesWithOneSentence) {
    const std::string digest = to_hex(workshop().image.digest);
    const auto cell = [](Workshop& w) -> ProposedCell& { return w.proposal.tables[0].cells[0]; };
    const auto approval = [](Workshop& w) -> Approval& { return w.proposal.approvals[0]; };
    const RefusedRow kRows[] = {
        {[](Workshop& w) { w.proposal.parent = {}; },
         "the proposal was made for image " + std::string(64, '0') + ", the parent given is " + digest},
        {[&](Workshop& w) { approval(w).table = "SPARK_COLD"; },
         "an approval names table SPARK_COLD, which the description does not hold"},
        {[](Workshop& w) {
             w.description.tables[0].writable = false;
             w.description.tables[0].why_not = "it monitors torque";
         },
         "car.tables.toml:4:1: table SPARK_MAIN is not to be written: it monitors torque"},
        {[&](Workshop& w) { approval(w).at = {4, 0}; },
         "an approval names cell [4, 0] of table SPARK_MAIN, outside its shape [4, 2]"},
        {[&](Workshop& w) { approval(w).at = {3}; },
         "an approval names cell [3] of table SPARK_MAIN, outside its shape [4, 2]"},
        {[&](Workshop& w) { approval(w).at = {0, 0}; },
         "an approval names cell [0, 0] of table SPARK_MAIN as spark, which the proposal does not hold"},
        {[&](Workshop& w) { approval(w).role = Role::lambda_target; },
         "an approval names cell [1, 1] of table SPARK_MAIN as lambda_target, which the proposal does not hold"},
        {[](Workshop& w) { w.proposal.approvals.push_back(w.proposal.approvals[0]); },
         "cell [1, 1] of table SPARK_MAIN is approved twice"},
        {[&](Workshop& w) { approval(w).by.clear(); },
         "the approval of cell [1, 1] of table SPARK_MAIN names nobody who gave it"},
        {[&](Workshop& w) { w.proposal.tables[0].cells.push_back(cell(w)); },
         "the proposal holds cell [1, 1] of table SPARK_MAIN twice"},
        {[&](Workshop& w) { cell(w).from = 2.7; },
         "the proposal moves cell [1, 1] of table SPARK_MAIN from 2.7, the parent holds 2.25"},
        {[&](Workshop& w) { cell(w).to = std::nan(""); },
         "the proposal moves cell [1, 1] of table SPARK_MAIN from or to no finite number"},
        {[&](Workshop& w) { cell(w).to = 50.25; },
         "car.tables.toml:4:1: cell [1, 1] of table SPARK_MAIN is to become 50.25, above the table's greatest value "
         "50"},
        {[&](Workshop& w) { cell(w).to = -20.25; },
         "car.tables.toml:4:1: cell [1, 1] of table SPARK_MAIN is to become -20.25, below the table's least value -20"},
        {[&](Workshop& w) {
             w.description.tables[0].max.reset();
             cell(w).to = 96.0;
         },
         "car.tables.toml:4:1: cell [1, 1] of table SPARK_MAIN is to become 96, which it cannot hold: the nearest is "
         "95.25"},
        {[&](Workshop& w) { cell(w).to = 3.1; },
         "car.tables.toml:4:1: cell [1, 1] of table SPARK_MAIN is to become 3.1, which it cannot hold: the nearest is "
         "3"},
        {[](Workshop& w) { w.regions[0].word = 2; },
         "job.toml:40:1: the checksum stored at 0x000C does not match image standard.bin: 0x001C stored, 0x0C10 "
         "computed; the region or its parameters are not declared as in this image"},
        {[](Workshop& w) { w.description.tables[0].address = 9; },
         "car.tables.toml:4:1: table SPARK_MAIN lies at 0x0009 to 0x0010, outside image standard.bin, which holds "
         "0x0000 "
         "to 0x000F"},
    };
    for (const RefusedRow& row : kRows) {
        Workshop w = workshop();
        row.change(w);
        const auto built = w.build();
        ASSERT_FALSE(built) << row.sentence;
        EXPECT_EQ(describe(built.error()), row.sentence);
    }
}

TEST(Build, AFromWithinHalfAResolutionIsTheSameCell) {
    Workshop w = workshop();
    w.proposal.tables[0].cells[0].from = 2.25 + 0.37;
    EXPECT_TRUE(w.build());
}

TEST(Build, TheFloatNextToALimitIsTheLimit) {
    Workshop w = workshop();
    TableDescription& table = w.description.tables[0];
    table.coding = {RawType::f32, ByteOrder::big, 1.0, 0.0};
    table.min = 0.7;  // the nearest float is 0.69999999
    table.shape = {};
    table.axes = {};
    w.proposal.tables[0].cells = {{{}, 0.0, double{0.7f}, Bound::table, {}, "to the least value"}};
    w.proposal.tables[0].cells[0].from = read_tables(w.description, w.image)->tables[0].values[0];
    w.proposal.approvals[0].at = {};
    EXPECT_TRUE(w.build());
    w.proposal.tables[0].cells[0].to = std::nextafter(0.7f, 0.0f);
    EXPECT_FALSE(w.build());
}

TEST(Build, RefusesACellWhoseBytesSomethingElseHolds) {
    Workshop w = workshop();
    w.description.tables.push_back(w.description.tables[0]);
    w.description.tables[1].name = "SPARK_SECOND";
    w.description.tables[1].address = 2;
    EXPECT_EQ(w.build().error().what,
              "cell [1, 1] of table SPARK_MAIN shares bytes with cell [0, 1] of table SPARK_SECOND: changing one would "
              "change the other");

    w = workshop();
    w.description.tables[0].axes[1] = {
        {Signal::charge_pct}, 2, AxisInMemory{3, {RawType::u8, ByteOrder::big, 1.0, 0.0}}, {}, {}};
    EXPECT_EQ(w.build().error().what,
              "cell [1, 1] of table SPARK_MAIN shares bytes with axis 1 of table SPARK_MAIN: changing one would change "
              "the other");

    w = workshop();
    w.regions[0] = {};
    w.regions[0].kind = ChecksumKind::sum8;
    w.regions[0].start = w.regions[0].end = 9;
    w.regions[0].store = 3;
    w.image.bytes[9] = 3;
    w.image.digest = w.proposal.parent = sha256(w.image.bytes);
    EXPECT_EQ(w.build().error().what,
              "cell [1, 1] of table SPARK_MAIN shares bytes with the checksum stored at 0x0003: changing one would "
              "change the other");
}

TEST(VerifyBuild, NoticesEveryKindOfStrayByte) {
    const Workshop w = workshop();
    const TableSet before = *read_tables(w.description, w.image);
    const BuiltImage good = *w.build();
    const auto verdict = [&](const Image& child) {
        const auto sound = verify_build(w.image, before, child, good.cells, w.description, w.regions);
        return sound ? std::string("sound") : sound.error().what;
    };
    EXPECT_EQ(verdict(good.image), "sound");
    const std::string fault = "fault of the program, nothing was built: ";
    Image child = good.image;
    child.bytes[8] ^= 1;
    EXPECT_EQ(verdict(child), fault + "the byte at 0x0008 moved, outside every approved cell and checksum");
    child = good.image;
    child.bytes[3] = 5;
    EXPECT_EQ(verdict(child), fault + "cell [1, 1] of table SPARK_MAIN reads as count 5, 4 expected");
    child = good.image;
    child.bytes[0xD] ^= 1;
    EXPECT_EQ(verdict(child), fault + "the checksum at 0x000C does not match");
    child = good.image;
    child.bytes.pop_back();
    EXPECT_EQ(verdict(child), fault + "the image changed its size");
    EXPECT_EQ(verify_build(w.image, before, child, good.cells, w.description, w.regions).error().fault, Fault::program);
}

}  // namespace
}  // namespace revwright
