#include "image/read.h"

#include <gtest/gtest.h>
#include <limits>

#include "image/open.h"

namespace revwright {
namespace {

using Bytes = std::vector<std::uint8_t>;

Image image_of(Bytes bytes, std::uint64_t base = 0) {
    ImageEntry entry;
    entry.base_address = base;
    return *open_image(std::move(bytes), "car.bin", entry);
}

AxisDescription fixed(Signal signal, std::vector<double> points) {
    return {{signal}, points.size(), AxisFixed{points}, {}, {"car.tables.toml", 20, 1}};
}

/// 2 x 3 map of i8 at 0x10, factor 0.5.
TableDescription small_map() {
    TableDescription table;
    table.name = "SPARK";
    table.quantity = {Signal::spark_deg};
    table.address = 0x10;
    table.coding = {RawType::i8, ByteOrder::big, 0.5, 0.0};
    table.shape = {2, 3};
    table.axes = {fixed(Signal::engine_speed_rpm, {1000.0, 2000.0}), fixed(Signal::charge_pct, {50.0, 100.0, 150.0})};
    table.place = {"car.tables.toml", 12, 1};
    return table;
}

TEST(OpenImage, TakesTheBytesAndTheirDigest) {
    const Image image = image_of({'a', 'b', 'c'}, 0x80000000);
    EXPECT_EQ(image.base_address, 0x80000000u);
    // FIPS 180-4, example "abc".
    EXPECT_EQ(to_hex(image.digest), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

TEST(OpenImage, RefusesWhatItCannotRead) {
    ImageEntry entry;
    EXPECT_EQ(describe(open_image({}, "car.bin", entry).error()),
              "car.bin: the image is empty, the bytes of a calibration expected");
    entry.base_address = std::numeric_limits<std::uint64_t>::max();
    EXPECT_TRUE(open_image({1}, "car.bin", entry));
    EXPECT_FALSE(open_image({1, 2}, "car.bin", entry));
}

TEST(ReadTable, RowMajorRunsAlongTheLastAxis) {
    Bytes bytes(0x10, 0xEE);
    bytes.insert(bytes.end(), {1, 2, 3, 0xFF, 0xFE, 6});
    const auto table = read_table(small_map(), image_of(bytes));
    ASSERT_TRUE(table);
    EXPECT_EQ(table->values, (std::vector{0.5, 1.0, 1.5, -0.5, -1.0, 3.0}));
    EXPECT_EQ(table->raw, (std::vector{1.0, 2.0, 3.0, -1.0, -2.0, 6.0}));
}

TEST(ReadTable, ColumnMajorRunsAlongTheFirstAxis) {
    TableDescription description = small_map();
    description.column_major = true;
    Bytes bytes(0x10, 0xEE);
    // Memory: [0,0] [1,0] [0,1] [1,1] [0,2] [1,2].
    bytes.insert(bytes.end(), {1, 4, 2, 5, 3, 6});
    EXPECT_EQ(read_table(description, image_of(bytes))->raw, (std::vector{1.0, 2.0, 3.0, 4.0, 5.0, 6.0}));
}

TEST(ReadTable, WordsFollowTheByteOrderOfTheirOwnCoding) {
    // A curve: two u16 points, little-endian, factor 0.25; two i16 cells, big-endian, factor -0.1, offset 1.
    TableDescription curve;
    curve.name = "BOOST";
    curve.quantity = {Signal::boost_target_kpa};
    curve.address = 0x1004;
    curve.coding = {RawType::i16, ByteOrder::big, -0.1, 1.0};
    curve.shape = {2};
    curve.axes = {
        {{Signal::engine_speed_rpm}, 2, AxisInMemory{0x1000, {RawType::u16, ByteOrder::little, 0.25, 0.0}}, {}, {}}};
    const auto table = read_table(curve, image_of({0x40, 0x1F, 0x80, 0x3E, 0xFF, 0x9C, 0x00, 0x64}, 0x1000));
    ASSERT_TRUE(table);
    EXPECT_EQ(table->axes[0].points()[0], 2000.0);
    EXPECT_EQ(table->axes[0].points()[1], 4000.0);
    EXPECT_DOUBLE_EQ(table->values[0], 11.0);
    EXPECT_DOUBLE_EQ(table->values[1], -9.0);
}

TEST(ReadTable, AValueHasNoAxis) {
    TableDescription value;
    value.name = "LIMIT";
    value.address = 2;
    value.coding = {RawType::f32, ByteOrder::little};
    const auto table = read_table(value, image_of({0, 0, 0x00, 0x00, 0xC0, 0xBF}));
    ASSERT_TRUE(table);
    EXPECT_EQ(table->values, std::vector{-1.5});
    EXPECT_TRUE(table->at(0).empty());
}

std::string sentence(const TableDescription& table, Bytes bytes) {
    const auto read = read_table(table, image_of(std::move(bytes)));
    return read ? "read" : describe(read.error());
}

TEST(ReadTable, RefusesATableOutsideTheImage) {
    EXPECT_EQ(
        sentence(small_map(), Bytes(0x15)),
        "car.tables.toml:12:1: table SPARK lies at 0x0010 to 0x0015, outside image car.bin, which holds 0x0000 to "
        "0x0014");
    TableDescription far = small_map();
    far.address = std::numeric_limits<std::uint64_t>::max() - 2;
    EXPECT_EQ(sentence(far, Bytes(0x16)),
              "car.tables.toml:12:1: table SPARK lies at 0xFFFFFFFFFFFFFFFD to 0xFFFFFFFFFFFFFFFF, outside image "
              "car.bin, which holds 0x0000 to 0x0015");
}

TEST(ReadTable, AShapePastEverySizeDoesNotWrapIntoTheImage) {
    TableDescription vast = small_map();
    const std::size_t half = std::size_t{1} << 32;  // half * half wraps to 0 in 64 bits
    vast.shape = {half, half};
    vast.axes[0].size = vast.axes[1].size = half;
    EXPECT_NE(sentence(vast, Bytes(0x16)).find("outside image"), std::string::npos);
}

TEST(ReadTable, RefusesAnAxisOutsideOrNotRising) {
    TableDescription table = small_map();
    table.axes[0].source = AxisInMemory{0x16, {RawType::u8, ByteOrder::big, 40.0, 0.0}};
    EXPECT_EQ(
        sentence(table, Bytes(0x17)),
        "car.tables.toml:20:1: axis 0 of table SPARK lies at 0x0016 to 0x0017, outside image car.bin, which holds "
        "0x0000 to 0x0016");
    Bytes bytes(0x18);
    bytes[0x16] = 50;
    bytes[0x17] = 25;
    EXPECT_EQ(
        sentence(table, bytes),
        "car.tables.toml:20:1: axis engine_speed_rpm of table SPARK must rise from point to point, found 2000 then "
        "1000 in image car.bin");
}

TEST(ReadTable, RefusesAFloatThatIsNoNumber) {
    TableDescription value;
    value.name = "LIMIT";
    value.coding = {RawType::f32, ByteOrder::big};
    value.place = {"car.tables.toml", 3, 1};
    EXPECT_EQ(sentence(value, {0x7F, 0xC0, 0x00, 0x00}),
              "car.tables.toml:3:1: cell [] of table LIMIT is no finite number in image car.bin");
    EXPECT_EQ(sentence(value, {0x7F, 0x80, 0x00, 0x00}),
              "car.tables.toml:3:1: cell [] of table LIMIT is no finite number in image car.bin");
}

TEST(ReadTable, RefusesADescriptionThatContradictsItself) {
    TableDescription table = small_map();
    table.coding.factor = 0.0;
    EXPECT_EQ(sentence(table, Bytes(0x16)),
              "car.tables.toml:12:1: table SPARK needs a factor other than 0 and a finite offset");
    table = small_map();
    table.axes.pop_back();
    EXPECT_EQ(sentence(table, Bytes(0x16)), "car.tables.toml:12:1: table SPARK has 1 axes for 2 dimensions");
    table = small_map();
    table.shape = {3, 3};
    EXPECT_EQ(sentence(table, Bytes(0x20)), "car.tables.toml:20:1: axis 0 of table SPARK has 2 points for 3 cells");
}

TEST(ReadTables, KeepsTheOrderAndRefusesTwoOfOneName) {
    Description description{"car.tables.toml", {small_map(), small_map()}};
    const Image image = image_of(Bytes(0x16));
    EXPECT_EQ(read_tables(description, image).error().what, "two tables are named SPARK");
    description.tables[1].name = "SPARK_2";
    const auto set = read_tables(description, image);
    ASSERT_TRUE(set);
    EXPECT_EQ(set->image, image.digest);
    EXPECT_EQ(set->tables[1].name(), "SPARK_2");
}

}  // namespace
}  // namespace revwright
