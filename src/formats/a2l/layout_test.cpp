#include <tuple>

#include "formats/a2l/reading_test.h"

// RECORD_LAYOUT: ASAM MCD-2 MC 1.6 and 1.7; positions are an order, no offsets. All names are invented.
namespace revwright::a2l {
namespace {

using Item = RecordItem::Kind;
using Order = RecordItem::Order;

RecordLayout layout(const std::string& items) {
    const ParameterSet set = read_body("/begin RECORD_LAYOUT L " + items + " /end RECORD_LAYOUT");
    const auto at = set.layouts.find("L");
    return at != set.layouts.end() ? at->second : RecordLayout{};
}

TEST(A2lLayout, ReadsEveryItemInTheOrderOfItsPosition) {
    const RecordLayout read = layout(
        "FNC_VALUES 14 SWORD COLUMN_DIR DIRECT AXIS_PTS_Y 13 UWORD INDEX_DECR PWORD AXIS_PTS_X 12 UBYTE INDEX_INCR "
        "DIRECT\n"
        "NO_AXIS_PTS_X 1 UBYTE NO_AXIS_PTS_Y 2 SBYTE SRC_ADDR_X 3 ULONG RIP_ADDR_W 4 UWORD RIP_ADDR_Z 5 UWORD\n"
        "IDENTIFICATION 6 UWORD RESERVED 7 LONG RESERVED 8 WORD OFFSET_4 9 FLOAT32_IEEE SHIFT_OP_5 10 UBYTE DIST_OP_Z "
        "11 A_INT64\n"
        "AXIS_RESCALE_X 16 UBYTE 5 INDEX_INCR DIRECT NO_RESCALE_X 15 UBYTE");
    ASSERT_EQ(read.why_not, "");
    using Row = std::tuple<int, Item, std::size_t, StoredType>;
    const std::vector<Row> expected = {
        {1, Item::axis_count, 0, StoredType::u8},    {2, Item::axis_count, 1, StoredType::i8},
        {3, Item::other, 0, StoredType::u32},        {4, Item::other, 0, StoredType::u16},
        {5, Item::other, 2, StoredType::u16},        {6, Item::other, 0, StoredType::u16},
        {7, Item::other, 0, StoredType::u32},        {8, Item::other, 0, StoredType::u16},
        {9, Item::fixed_offset, 3, StoredType::f32}, {10, Item::fixed_shift, 4, StoredType::u8},
        {11, Item::fixed_step, 2, StoredType::i64},  {12, Item::axis_points, 0, StoredType::u8},
        {13, Item::axis_points, 1, StoredType::u16}, {14, Item::values, 0, StoredType::i16},
        {15, Item::pair_count, 0, StoredType::u8},   {16, Item::axis_pairs, 0, StoredType::u8}};
    std::vector<Row> found;
    for (const RecordItem& item : read.items) found.emplace_back(item.position, item.kind, item.axis, item.type);
    EXPECT_EQ(found, expected);
    EXPECT_FALSE(read.items[11].descending);
    EXPECT_TRUE(read.items[11].direct);
    EXPECT_TRUE(read.items[12].descending);
    EXPECT_FALSE(read.items[12].direct) << "PWORD: an address lies there";
    EXPECT_EQ(read.items[13].order, Order::column_dir);
    EXPECT_EQ(read.items[15].length, 5U);
}

TEST(A2lLayout, OrdersOfTheCells) {
    const auto order = [](const std::string& word) {
        return layout("FNC_VALUES 1 UBYTE " + word + " DIRECT").items.at(0).order;
    };
    EXPECT_EQ(order("ROW_DIR"), Order::row_dir);
    EXPECT_EQ(order("ALTERNATE_CURVES"), Order::alternate_curves);
    EXPECT_EQ(order("ALTERNATE_WITH_X"), Order::alternate_with_x);
    EXPECT_EQ(order("ALTERNATE_WITH_Y"), Order::alternate_with_y);
}

TEST(A2lLayout, AlignmentsOfTheModuleHoldWhereTheLayoutHasNone) {
    const ParameterSet set = read_body(
        "/begin MOD_COMMON \"\" ALIGNMENT_WORD 2 ALIGNMENT_FLOAT16_IEEE 2 ALIGNMENT_INT64 8 /end MOD_COMMON\n"
        "/begin RECORD_LAYOUT L ALIGNMENT_WORD 4 FIX_NO_AXIS_PTS_Y 6 FNC_VALUES 1 UWORD ROW_DIR DIRECT "
        "STATIC_RECORD_LAYOUT /end RECORD_LAYOUT");
    const RecordLayout& read = set.layouts.at("L");
    using Alignments = std::map<StoredType, std::size_t>;
    EXPECT_EQ(read.alignment, (Alignments{{StoredType::u16, 4},
                                          {StoredType::i16, 4},
                                          {StoredType::f16, 2},
                                          {StoredType::u64, 8},
                                          {StoredType::i64, 8}}));
    EXPECT_EQ(read.fixed_counts[1], 6U);
    EXPECT_FALSE(read.fixed_counts[0].has_value());
    EXPECT_TRUE(read.keeps_places);
}

TEST(A2lLayout, WhatIsNotUnderstoodIsSaid) {
    const auto why = [](const std::string& items) { return layout(items).why_not; };
    EXPECT_EQ(why("FNC_VALUES 1 UBYTE ROW_DIR DIRECT STRIDE 4"), "STRIDE in it is not known");
    EXPECT_EQ(why("FNC_VALUES 1 UBYTE SIDEWAYS DIRECT"), "FNC_VALUES in it is not understood");
    EXPECT_EQ(why("FNC_VALUES 1 UBYTE ROW_DIR DIRECT FNC_VALUES 2 UBYTE ROW_DIR DIRECT"), "it has FNC_VALUES twice");
    EXPECT_EQ(why("FNC_VALUES 1 UBYTE ROW_DIR DIRECT AXIS_PTS_X 1 UBYTE INDEX_INCR DIRECT"),
              "it has two things at position 1");
    EXPECT_EQ(why("FNC_VALUES 1 UBYTE ALTERNATE_WITH_X DIRECT AXIS_PTS_X 1 UBYTE INDEX_INCR DIRECT"), "");
    EXPECT_EQ(why("ALIGNMENT_BYTE 0 FNC_VALUES 1 UBYTE ROW_DIR DIRECT"), "ALIGNMENT_BYTE in it is not understood");
    EXPECT_EQ(why(""), "it says nothing of what is stored");
}

// Without ALIGNMENT_WORD some read the values at the next even address, others at once: nobody can tell.
TEST(A2lLayout, AnAlignmentThatIsNotStatedKeepsAParameterFromBeingWritten) {
    const auto why = [](const std::string& more) {
        const ParameterSet set =
            read_body("/begin MOD_COMMON \"\" BYTE_ORDER MSB_LAST " + more +
                      " /end MOD_COMMON\n"
                      "/begin RECORD_LAYOUT L NO_AXIS_PTS_X 1 UBYTE AXIS_PTS_X 2 UBYTE INDEX_INCR DIRECT FNC_VALUES 3 "
                      "UWORD ROW_DIR DIRECT /end RECORD_LAYOUT\n"
                      "/begin CHARACTERISTIC C \"\" CURVE 1 L 0 NO_COMPU_METHOD 0 1 /begin AXIS_DESCR STD_AXIS N "
                      "NO_COMPU_METHOD 4 0 1 /end AXIS_DESCR /end CHARACTERISTIC");
        return named(set, "C").why_not;
    };
    EXPECT_EQ(why(""), "the description states no ALIGNMENT_WORD, and its layout L begins with smaller numbers");
    EXPECT_EQ(why("ALIGNMENT_WORD 1"), "");
}

}  // namespace
}  // namespace revwright::a2l
