#include "image/parameter_reader.h"

#include <gtest/gtest.h>

#include "image/parameter_testing.h"

namespace revwright {
namespace {

using namespace testing_parameters;
using AxisKind = ParameterAxis::Kind;
using Numbers = std::vector<double>;

testing::AssertionResult says(const std::string& sentence, const std::string& part) {
    if (sentence.find(part) != std::string::npos) return testing::AssertionSuccess();
    return testing::AssertionFailure() << "says: " << sentence;
}

// The standard draws this map with X across and Y down, and says how it lies (ASAM MCD-2 MC 1.7, FNC_VALUES: index
// mode, as quoted in the sources of docs/formats/a2l.md):   0 1 2 / 3 4 5 / 6 7 8.
const Numbers kMapXFirst{0, 3, 6, 1, 4, 7, 2, 5, 8};  // [x][y]

TEST(ParameterReader, RowDirRunsAlongXAndColumnDirAlongY) {
    ParameterSet set = one(Kind::map, {cells(1, StoredType::u8, Order::row_dir)},
                           {axis(3, AxisKind::fixed), axis(3, AxisKind::fixed)});
    for (ParameterAxis& a : set.parameters[0].axes) a.fixed_counts = {0, 1, 2};
    EXPECT_EQ(read_first(set, {0, 1, 2, 3, 4, 5, 6, 7, 8}).values, kMapXFirst);
    set.layouts["L"].items[0].order = Order::column_dir;
    EXPECT_EQ(read_first(set, {0, 3, 6, 1, 4, 7, 2, 5, 8}).values, kMapXFirst);
    EXPECT_TRUE(read_first(set, {0, 3, 6, 1, 4, 7, 2, 5, 8}).writable);
}

TEST(ParameterReader, CellsAlternateWithThePointsOfXOrY) {
    const auto set = [](Order order, std::size_t of) {
        return one(Kind::map,
                   {item(Item::axis_points, 1, StoredType::u8, of), item(Item::axis_points, 3, StoredType::u8, 1 - of),
                    cells(2, StoredType::u8, order)},
                   {axis(3), axis(3)});
    };
    // The standard's columns with X 9 8 7, and its rows with Y 9 8 7; the other axis (1 2 3) lies behind.
    const auto with_x = read_first(set(Order::alternate_with_x, 0), {9, 0, 3, 6, 8, 1, 4, 7, 7, 2, 5, 8, 1, 2, 3});
    EXPECT_EQ(with_x.values, kMapXFirst);
    EXPECT_EQ(with_x.axes[0].values, (Numbers{9, 8, 7}));
    EXPECT_EQ(with_x.axes[1].values, (Numbers{1, 2, 3}));
    const auto with_y = read_first(set(Order::alternate_with_y, 1), {9, 0, 1, 2, 8, 3, 4, 5, 7, 6, 7, 8, 1, 2, 3});
    EXPECT_EQ(with_y.values, kMapXFirst);
    EXPECT_EQ(with_y.axes[1].values, (Numbers{9, 8, 7}));
    EXPECT_FALSE(with_y.writable);
}

TEST(ParameterReader, ACurveMayAlternateCellsFirst) {
    const ParameterSet set =
        one(Kind::curve,
            {item(Item::axis_points, 2, StoredType::u8), cells(1, StoredType::u8, Order::alternate_with_x)}, {axis(3)});
    const auto read = read_first(set, {50, 1, 60, 2, 70, 3});
    EXPECT_EQ(read.values, (Numbers{50, 60, 70}));
    EXPECT_EQ(read.axes[0].values, (Numbers{1, 2, 3}));
    EXPECT_TRUE(says(read.why_not, "alternate"));
}

TEST(ParameterReader, CurvesThatAlternateWithOthersAreNotRead) {
    ParameterSet set =
        one(Kind::curve, {cells(1, StoredType::u8, Order::alternate_curves)}, {axis(2, AxisKind::fixed)});
    set.parameters[0].axes[0].fixed_counts = {0, 1};
    const auto read = read_first(set, {1, 2, 3, 4});
    EXPECT_FALSE(read.has_values());
    EXPECT_TRUE(says(read.why_not, "other curves"));
}

TEST(ParameterReader, CountsInMemoryMoveWhatLiesBehindThem) {
    ParameterSet set =
        one(Kind::curve, {item(Item::axis_count, 1), item(Item::axis_points, 2), cells(3, StoredType::u16)}, {axis(4)});
    set.layouts["L"].alignment[StoredType::u16] = 2;
    // Two of four points: 2 | 10 20 | (gap) | 0x0102 0x0304
    const auto read = read_first(set, {2, 10, 20, 0xEE, 1, 2, 3, 4, 9, 9, 9, 9});
    EXPECT_EQ(read.axes[0].values, (Numbers{10, 20}));
    EXPECT_EQ(read.values, (Numbers{0x0102, 0x0304}));
    EXPECT_TRUE(read.writable);

    set.layouts["L"].keeps_places = true;  // 2 | 10 20 . . | (gap) | cells
    const auto kept = read_first(set, {2, 10, 20, 0xEE, 0xEE, 0xEE, 1, 2, 3, 4, 9, 9, 9, 9});
    EXPECT_EQ(kept.values, (Numbers{0x0102, 0x0304}));
}

TEST(ParameterReader, ACountThatCannotBeIsRefused) {
    const ParameterSet set =
        one(Kind::curve, {item(Item::axis_count, 1), item(Item::axis_points, 2), cells(3)}, {axis(4)});
    EXPECT_EQ(read_first(set, {5, 1, 2, 3, 4, 5, 1, 2, 3, 4, 5}).why_not,
              "the image says 5 points for its axis X, 1 to 4 expected");
    EXPECT_TRUE(says(read_first(set, {0, 1, 2}).why_not, "0 points"));
}

TEST(ParameterReader, WhatLiesOutsideTheImageSaysSoAndCostsNothingElse) {
    ParameterSet set = one(Kind::value, {cells(1, StoredType::u32)});
    set.parameters.push_back(set.parameters[0]);
    set.parameters[1].name = "Q";
    set.parameters[1].address = kBase + 2;
    const auto reading = read_parameters(set, image_of({0, 0, 1, 0})).reading;
    EXPECT_EQ(reading.parameters[0].values, (Numbers{256}));
    EXPECT_EQ(reading.parameters[1].why_not,
              "it lies at 0x1002 to 0x1005, outside image image.bin, which holds 0x1000 to 0x1003");
    set.parameters[1].address = 0xFFFFFFFFFFFFFFFF;
    EXPECT_FALSE(read_parameters(set, image_of({0, 0, 1, 0})).reading.parameters[1].has_values());
    set.parameters[1].address_extension = 1;
    EXPECT_TRUE(says(read_parameters(set, image_of({0, 0, 1, 0})).reading.parameters[1].why_not, "address space 1"));
}

TEST(ParameterReader, AnAbsurdSizeIsNoReasonToReserve) {
    ParameterSet set = one(Kind::block, {cells(1)});
    set.parameters[0].dimensions = {4'000'000'000, 4'000'000'000, 4'000'000'000};
    EXPECT_TRUE(says(read_first(set, {1, 2}).why_not, "outside"));
    ParameterSet map =
        one(Kind::map, {item(Item::axis_points, 1), item(Item::axis_points, 2, StoredType::u8, 1), cells(3)},
            {axis(4'000'000'000), axis(4'000'000'000)});
    EXPECT_TRUE(says(read_first(map, {1, 2}).why_not, "outside"));
}

// ASAM MCD-2 MC 1.6, FIX_AXIS_PAR (offset, shift, number) and FIX_AXIS_PAR_DIST: Xi = offset + (i - 1) 2^shift and
// offset + (i - 1) distance; here with the numbers in memory (OFFSET_X, SHIFT_OP_X, DIST_OP_X).
TEST(ParameterReader, AFixedAxisMayLieInMemory) {
    ParameterSet shift = one(Kind::curve, {item(Item::fixed_offset, 1), item(Item::fixed_shift, 2), cells(3)},
                             {axis(6, AxisKind::fixed)});
    EXPECT_EQ(read_first(shift, {0, 4, 1, 2, 3, 4, 5, 6}).axes[0].values, (Numbers{0, 16, 32, 48, 64, 80}));
    ParameterSet distance =
        one(Kind::curve, {item(Item::fixed_offset, 1), item(Item::fixed_step, 2, StoredType::u16), cells(3)},
            {axis(5, AxisKind::fixed)});
    EXPECT_EQ(read_first(distance, {100, 0, 250, 1, 2, 3, 4, 5}).axes[0].values, (Numbers{100, 350, 600, 850, 1100}));
}

/// P over an axis of its own, A, which lies behind it.
ParameterSet over_shared(AxisKind kind, std::vector<RecordItem> layout_of_axis, std::size_t most_of_axis,
                         std::size_t points) {
    ParameterSet set = one(kind == AxisKind::by_curve ? Kind::curve : Kind::curve, {cells(1)}, {axis(points, kind)});
    set.parameters[0].axes[0].shared = "A";
    set.layouts["A"] = {.name = "A", .items = std::move(layout_of_axis)};
    set.parameters.push_back({.name = "A",
                              .kind = kind == AxisKind::by_curve ? Kind::curve : Kind::axis_points,
                              .address = kBase + points,
                              .layout = "A",
                              .axes = {axis(most_of_axis)}});
    return set;
}

TEST(ParameterReader, ASharedAxisTellsHowManyPointsAreUsed) {
    ParameterSet set =
        over_shared(AxisKind::shared, {item(Item::axis_count, 1), item(Item::axis_points, 2, StoredType::i8)}, 8, 4);
    const auto read = read_parameters(set, image_of({1, 2, 3, 4, 3, 0xFF, 0, 5})).reading;
    EXPECT_EQ(read.parameters[0].axes[0].values, (Numbers{-1, 0, 5}));
    EXPECT_EQ(read.parameters[0].values, (Numbers{1, 2, 3}));
    EXPECT_TRUE(read.parameters[0].writable);
    EXPECT_EQ(read.parameters[1].values, (Numbers{-1, 0, 5}));
    EXPECT_FALSE(read.parameters[1].writable);
    set.parameters[0].axes[0].shared = "NONE";
    EXPECT_EQ(read_first(set, {1, 2, 3, 4, 3, 1, 2, 3}).why_not, "its axis NONE is not described");
}

// ASAM MCD-2 MC 1.6, rescale example: axis 0 100 216 at 0 192 255, 9 points.
TEST(ParameterReader, ARescaledAxisHasItsPointsBetweenThePairs) {
    const RecordItem pairs{.kind = Item::axis_pairs, .type = StoredType::u8, .position = 2, .length = 5};
    const ParameterSet set = over_shared(AxisKind::rescaled, {item(Item::pair_count, 1), pairs}, 5, 9);
    const auto read =
        read_parameters(set, image_of({1, 2, 3, 4, 5, 6, 7, 8, 9, 3, 0, 0, 100, 192, 216, 255, 0, 0, 0, 0}))
            .reading.parameters;
    const Numbers expected{0, 16.6667, 33.3333, 50, 66.6667, 83.3333, 100, 158.920635, 216};
    ASSERT_EQ(read[0].axes[0].values.size(), 9u);
    for (std::size_t i = 0; i < 9; ++i) EXPECT_NEAR(read[0].axes[0].values[i], expected[i], 5e-5);
    EXPECT_EQ(read[0].values, (Numbers{1, 2, 3, 4, 5, 6, 7, 8, 9}));
    EXPECT_TRUE(says(read[0].why_not, "RES_AXIS"));
    EXPECT_EQ(read[1].values, (Numbers{0, 100, 216}));
}

TEST(ParameterReader, ACurveAxisHasItsPointsWhereTheCurveIsAWholeNumber) {
    const ParameterSet set = over_shared(AxisKind::by_curve, {item(Item::axis_points, 1), cells(2)}, 3, 3);
    // The curve: 0 at 10, 1 at 30, 3 at 50; so 0, 1, 2 stand at 10, 30, 40.
    const auto read = read_parameters(set, image_of({7, 8, 9, 10, 30, 50, 0, 1, 3})).reading.parameters;
    EXPECT_EQ(read[0].axes[0].values, (Numbers{10, 30, 40}));
    EXPECT_TRUE(says(read[0].why_not, "CURVE_AXIS"));
    const auto falls = read_parameters(set, image_of({7, 8, 9, 10, 30, 50, 3, 1, 0})).reading.parameters;
    EXPECT_TRUE(falls[0].axes[0].values.empty());
    EXPECT_EQ(falls[0].values, (Numbers{7, 8, 9}));
}

TEST(ParameterReader, ARingOfCurveAxesEnds) {
    ParameterSet set = over_shared(AxisKind::by_curve, {item(Item::axis_points, 1), cells(2)}, 2, 2);
    set.parameters[1].axes[0] = axis(2, AxisKind::by_curve);
    set.parameters[1].axes[0].shared = "P";
    set.parameters[1].layout = "L";
    EXPECT_TRUE(read_first(set, {1, 2, 3, 4}).axes[0].values.empty());
}

TEST(ParameterReader, StepsAreAddedUp) {
    ParameterSet set = one(Kind::curve, {item(Item::axis_points, 1), cells(2)}, {axis(3)});
    set.parameters[0].axes[0].differences = true;
    const auto read = read_first(set, {10, 5, 5, 1, 2, 3});
    EXPECT_EQ(read.axes[0].values, (Numbers{10, 15, 20}));
    EXPECT_TRUE(read.writable);
}

TEST(ParameterReader, AnAxisFromItsLastPointIsReadAndNotWrittenOn) {
    ParameterSet set = one(Kind::curve, {item(Item::axis_points, 1), cells(2)}, {axis(3)});
    set.layouts["L"].items[0].descending = true;
    const auto read = read_first(set, {30, 20, 10, 1, 2, 3});
    EXPECT_EQ(read.axes[0].values, (Numbers{10, 20, 30}));
    EXPECT_TRUE(says(read.why_not, "INDEX_DECR"));
}

TEST(ParameterReader, WhatIsNotAStraightRisingTableIsReadAndNotWritten) {
    ParameterSet set = one(Kind::curve, {item(Item::axis_points, 1), cells(2)}, {axis(2)});
    EXPECT_EQ(read_first(set, {9, 3, 1, 2}).why_not, "its axis 0 does not rise: 3 after 9");
    set.parameters[0].conversion = RationalConversion{1, 0, 0, 0, 0, 1};
    set.parameters[0].min = 0.0;
    const auto square = read_first(set, {3, 9, 4, 9});
    EXPECT_EQ(square.values, (Numbers{2, 3}));
    EXPECT_TRUE(says(square.why_not, "RAT_FUNC"));
    set.parameters[0].why_not = "it depends on another parameter";
    EXPECT_EQ(read_first(set, {3, 9, 4, 9}).why_not, "it depends on another parameter");
}

TEST(ParameterReader, WordsAndTexts) {
    ParameterSet set = one(Kind::value, {cells(1)});
    set.parameters[0].conversion = WordConversion{.rows = {{0, 0, "off"}, {1, 1, "on"}}};
    EXPECT_EQ(read_first(set, {1}).words.front(), "on");
    EXPECT_EQ(read_first(set, {1}).raw, (Numbers{1}));
    EXPECT_FALSE(read_first(set, {2}).words.front());
    ParameterSet text = one(Kind::text, {cells(1)});
    text.parameters[0].dimensions = {6};
    EXPECT_EQ(read_first(text, {'H', 'A', 'L', 'L', 0, 'x'}).text, "HALL");
}

TEST(ParameterReader, AMaskTakesItsBitsOnly) {
    ParameterSet set = one(Kind::value, {cells(1, StoredType::u16)});
    set.parameters[0].bit_mask = 0x0FF0;
    EXPECT_EQ(read_first(set, {0xA1, 0x23}).raw, (Numbers{0x12}));
    EXPECT_FALSE(read_first(set, {0xA1, 0x23}).writable);
}

TEST(ParameterReader, BothByteOrdersAndEveryType) {
    const auto value = [](StoredType type, ByteOrder order, std::vector<std::uint8_t> bytes) {
        ParameterSet set = one(Kind::value, {cells(1, type)});
        set.parameters[0].order = order;
        return read_first(set, std::move(bytes)).values.at(0);
    };
    EXPECT_EQ(value(StoredType::i16, ByteOrder::little, {0xFE, 0xFF}), -2);
    EXPECT_EQ(value(StoredType::i64, ByteOrder::big, {255, 255, 255, 255, 255, 255, 255, 254}), -2);
    EXPECT_EQ(value(StoredType::u64, ByteOrder::little, {1, 0, 0, 0, 1, 0, 0, 0}), 4294967297.0);
    // IEEE 754: 14.7 as a single, 3.140625 as a half, 14.7 as a double.
    EXPECT_FLOAT_EQ(static_cast<float>(value(StoredType::f32, ByteOrder::big, {0x41, 0x6B, 0x33, 0x33})), 14.7F);
    EXPECT_EQ(value(StoredType::f16, ByteOrder::big, {0x42, 0x48}), 3.140625);
    EXPECT_EQ(value(StoredType::f16, ByteOrder::big, {0x00, 0x01}), 0x1p-24);
    EXPECT_EQ(value(StoredType::f64, ByteOrder::big, {0x40, 0x2D, 0x66, 0x66, 0x66, 0x66, 0x66, 0x66}), 14.7);
}

TEST(ParameterReader, ACuboidIsASheetForEachZ) {
    ParameterSet set = one(Kind::cuboid, {cells(1, StoredType::u8, Order::column_dir)},
                           {axis(2, AxisKind::fixed), axis(2, AxisKind::fixed), axis(2, AxisKind::fixed)});
    for (ParameterAxis& a : set.parameters[0].axes) a.fixed_counts = {0, 1};
    // z = 0: x0 (y0 y1), x1 (y0 y1); then z = 1.
    EXPECT_EQ(read_first(set, {0, 10, 100, 110, 1, 11, 101, 111}).values, (Numbers{0, 1, 10, 11, 100, 101, 110, 111}));
}

TEST(ParameterReader, AKnownQuantityBringsItsUnit) {
    ParameterSet set = one(Kind::curve, {item(Item::axis_points, 1), cells(2)}, {axis(2)});
    set.parameters[0].unit = "bar";
    set.parameters[0].conversion = LinearConversion{0.01, 0.0};
    set.parameters[0].max = 2.5;
    set.parameters[0].axes[0].unit = "1/min";
    set.parameters[0].axes[0].conversion = LinearConversion{40.0, 0.0};
    const std::vector<ParameterQuantities> known{
        {ChannelKey{Signal::boost_target_kpa}, {ChannelKey{Signal::engine_speed_rpm}}}};
    const auto read = read_parameters(set, image_of({50, 100, 150, 200}), known).reading.parameters[0];
    EXPECT_EQ(read.values, (Numbers{150, 200}));
    EXPECT_EQ(read.unit, "kPa");
    EXPECT_NEAR(*read.resolution, 1.0, 1e-12);
    EXPECT_EQ(read.max, 250.0);
    EXPECT_EQ(read.axes[0].quantity, ChannelKey{Signal::engine_speed_rpm});
    set.parameters[0].unit = "bar gauge";
    const auto gauge = read_parameters(set, image_of({50, 100, 150, 200}), known).reading.parameters[0];
    EXPECT_FALSE(gauge.quantity);
    EXPECT_EQ(gauge.unit, "bar gauge");
    EXPECT_TRUE(gauge.writable);
}

TEST(ParameterReader, ARecordThatBreaksItsAlignmentIsNotWritten) {
    ParameterSet set = one(Kind::value, {cells(1, StoredType::u16)});
    set.parameters[0].address = kBase + 1;
    set.layouts["L"].alignment[StoredType::u16] = 2;
    const auto read = read_first(set, {0, 0, 1, 2});
    EXPECT_FALSE(read.writable);
    EXPECT_TRUE(says(read.why_not, "alignment"));
}

}  // namespace
}  // namespace revwright
