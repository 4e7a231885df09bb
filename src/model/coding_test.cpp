#include "model/coding.h"

#include <cmath>
#include <gtest/gtest.h>
#include <vector>

namespace revwright {
namespace {

using Bytes = std::vector<std::uint8_t>;

TableDescription table_of(Coding coding, std::optional<double> min = {}, std::optional<double> max = {}) {
    TableDescription table;
    table.coding = coding;
    table.min = min;
    table.max = max;
    return table;
}

TEST(Coding, CountsLieInMemoryAsWorkedOutByHand) {
    const struct {
        RawType type;
        double raw;
        Bytes big;
    } kRows[] = {
        {RawType::u8, 200.0, {0xC8}},
        {RawType::i8, -3.0, {0xFD}},
        {RawType::u16, 4660.0, {0x12, 0x34}},
        {RawType::i16, -2.0, {0xFF, 0xFE}},
        {RawType::u32, 4294967295.0, {0xFF, 0xFF, 0xFF, 0xFF}},
        {RawType::u32, 305419896.0, {0x12, 0x34, 0x56, 0x78}},
        {RawType::i32, -2147483648.0, {0x80, 0x00, 0x00, 0x00}},
        {RawType::f32, -1.5, {0xBF, 0xC0, 0x00, 0x00}},
        {RawType::f32, 14.7f, {0x41, 0x6B, 0x33, 0x33}},  // IEEE 754 single nearest 14.7
    };
    for (const auto& row : kRows)
        for (const ByteOrder order : {ByteOrder::big, ByteOrder::little}) {
            const Bytes expected = order == ByteOrder::big ? row.big : Bytes(row.big.rbegin(), row.big.rend());
            const Coding coding{row.type, order};
            Bytes written(row.big.size());
            write_raw(written, coding, row.raw);
            EXPECT_EQ(written, expected) << row.raw;
            EXPECT_EQ(read_raw(expected, coding), row.raw);
        }
}

struct TowardRow {
    const char* what;
    TableDescription table;
    double wanted;
    std::optional<double> down, nearest, up;  // counts
};

TEST(Coding, RoundsToTheSideTheCallerNames) {
    const Coding spark{RawType::i8, ByteOrder::big, 0.75, 0.0};
    const Coding falling{RawType::u8, ByteOrder::big, -0.5, 100.0};  // count 0 = 100, count 255 = -27.5
    const TowardRow kRows[] = {
        {"between counts", table_of(spark), 10.0, 13.0, 13.0, 14.0},
        {"on a count", table_of(spark), 10.5, 14.0, 14.0, 14.0},
        {"a hair below a count", table_of(spark), 10.5 - 1e-9, 14.0, 14.0, 14.0},
        {"negative value", table_of(spark), -10.0, -14.0, -13.0, -13.0},
        {"negative factor", table_of(falling), 50.2, 100.0, 100.0, 99.0},
        {"above the type", table_of(spark), 200.0, 127.0, 127.0, std::nullopt},
        {"below the type", table_of(spark), -200.0, std::nullopt, -128.0, -128.0},
        {"above the type, negative factor", table_of(falling), 200.0, 0.0, 0.0, std::nullopt},
        {"below the type, negative factor", table_of(falling), -40.0, std::nullopt, 255.0, 255.0},
        {"above the table", table_of(spark, -20.0, 50.0), 60.0, 66.0, 66.0, std::nullopt},
        {"below the table", table_of(spark, -20.0, 50.0), -30.0, std::nullopt, -26.0, -26.0},
        {"no count within the table", table_of(spark, 0.1, 0.6), 0.3, std::nullopt, std::nullopt, std::nullopt},
        {"no number", table_of(spark), std::nan(""), std::nullopt, std::nullopt, std::nullopt},
        {"far past every number", table_of(falling), 1e300, 0.0, 0.0, std::nullopt},
    };
    for (const TowardRow& row : kRows) {
        SCOPED_TRACE(row.what);
        EXPECT_EQ(raw_toward(row.table, row.wanted, Direction::down), row.down);
        EXPECT_EQ(raw_toward(row.table, row.wanted, Direction::nearest), row.nearest);
        EXPECT_EQ(raw_toward(row.table, row.wanted, Direction::up), row.up);
    }
}

TEST(Coding, FloatsRoundToTheFloatOnTheSafeSide) {
    const TableDescription table = table_of({RawType::f32, ByteOrder::big});
    const double below = 0.9f;  // 0.89999998
    const double above = std::nextafter(0.9f, 1.0f);
    EXPECT_EQ(raw_toward(table, 0.9, Direction::down), below);
    EXPECT_EQ(raw_toward(table, 0.9, Direction::up), above);
    EXPECT_EQ(raw_toward(table, 0.9, Direction::nearest), below);
    EXPECT_EQ(raw_toward(table, 1e39, Direction::down), double{std::numeric_limits<float>::max()});
    EXPECT_FALSE(raw_toward(table, 1e39, Direction::up));
}

TEST(Coding, OnlyACountIsExact) {
    const Coding lambda{RawType::u16, ByteOrder::big, 0.001, 0.5};
    EXPECT_EQ(exact_raw(lambda, 0.9), 400.0);
    EXPECT_EQ(exact_raw(lambda, 0.9 + 0.9e-9), 400.0);
    EXPECT_FALSE(exact_raw(lambda, 0.9 + 2e-9));
    EXPECT_FALSE(exact_raw(lambda, 0.4));   // below count 0
    EXPECT_FALSE(exact_raw(lambda, 70.0));  // above count 65535
    EXPECT_FALSE(exact_raw(lambda, std::nan("")));
}

TEST(Coding, ResolutionIsOneCount) {
    EXPECT_EQ(resolution({RawType::u8, ByteOrder::big, -0.5, 3.0}, 7.0), 0.5);
    // A float in [1, 2) has 23 bits behind the point.
    EXPECT_EQ(resolution({RawType::f32, ByteOrder::big, 2.0, 0.0}, -1.5), 2.0 * std::ldexp(1.0, -23));
}

}  // namespace
}  // namespace revwright
