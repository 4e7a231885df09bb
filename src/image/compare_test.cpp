#include "image/compare.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

/// Two u8 axis points at 0x00, two f32 cells at 0x02, a byte sum of the first ten bytes at 0x0C.
Description description() {
    TableDescription curve;
    curve.name = "LAMBDA";
    curve.quantity = {Signal::lambda_target};
    curve.address = 2;
    curve.coding = {RawType::f32, ByteOrder::big};
    curve.shape = {2};
    curve.axes = {{{Signal::engine_speed_rpm}, 2, AxisInMemory{0, {RawType::u8, ByteOrder::big, 40.0, 0.0}}, {}, {}}};
    return {"car.tables.toml", {curve}};
}

std::vector<ChecksumRegion> regions() {
    ChecksumRegion sum;
    sum.kind = ChecksumKind::sum8;
    sum.end = 9;
    sum.store = 0xC;
    return {sum};
}

Image image_of(std::string file, std::vector<std::uint8_t> bytes) {
    const Digest digest = sha256(bytes);
    return {std::move(file), 0, std::move(bytes), digest};
}

// Cells 1.0 and -0.5; the sum of the first ten bytes is 0x19 + 0x32 + 0x3F + 0x80 + 0xBF = 0x1C9.
const Image kStandard = image_of("standard.bin", {0x19, 0x32, 0x3F, 0x80, 0, 0, 0xBF, 0, 0, 0, 0xEE, 0xEE, 0xC9, 0xEE});

TEST(Compare, AnImageAgainstItselfHasNoDifference) {
    const auto same = compare(description(), regions(), kStandard, kStandard);
    ASSERT_TRUE(same);
    EXPECT_TRUE(same->tables.empty());
    EXPECT_TRUE(same->outside.empty());
    EXPECT_TRUE(same->checksums_a[0].ok() && same->checksums_b[0].ok());
}

TEST(Compare, NamesCellsPointsChecksumsAndStrayBytes) {
    Image other = kStandard;
    other.bytes[1] = 0x33;  // second point: 2040 rpm
    other.bytes[3] = 0x00;  // first cell: 0.5
    other.bytes[0xA] = other.bytes[0xB] = 0x00;
    other.bytes[0xD] = 0x00;
    other.digest = sha256(other.bytes);
    const auto found = compare(description(), regions(), kStandard, other);
    ASSERT_TRUE(found);
    EXPECT_EQ(found->a, kStandard.digest);
    EXPECT_EQ(found->b, other.digest);
    ASSERT_EQ(found->tables.size(), 2u);
    EXPECT_EQ(found->tables[0].name(), "LAMBDA");
    ASSERT_EQ(found->tables[0].cells.size(), 1u);
    EXPECT_EQ(found->tables[0].cells[0].at, CellIndex{0});
    EXPECT_EQ(found->tables[0].cells[0].from, 1.0);
    EXPECT_EQ(found->tables[0].cells[0].to, 0.5);
    EXPECT_EQ(found->tables[1].name(), "LAMBDA axis 0");
    ASSERT_EQ(found->tables[1].cells.size(), 1u);
    EXPECT_EQ(found->tables[1].cells[0].from, 2000.0);
    EXPECT_EQ(found->tables[1].cells[0].to, 2040.0);
    EXPECT_TRUE(found->checksums_a[0].ok());
    EXPECT_FALSE(found->checksums_b[0].ok());
    EXPECT_EQ(found->outside, (std::vector<ByteRange>{{0xA, 2}, {0xD, 1}}));
}

TEST(Compare, ZerosOfOppositeSignDiffer) {
    Image plus = kStandard, minus = kStandard;
    plus.bytes[2] = plus.bytes[3] = 0;
    minus.bytes[2] = 0x80;
    minus.bytes[3] = 0;
    EXPECT_EQ(compare(description(), regions(), plus, minus)->tables[0].cells.size(), 1u);
}

TEST(Compare, RefusesImagesOfDifferentSizeOrBase) {
    Image longer = kStandard, moved = kStandard;
    longer.file = moved.file = "other.bin";
    longer.bytes.push_back(0);
    EXPECT_EQ(describe(compare(description(), regions(), kStandard, longer).error()),
              "other.bin: images of one size expected, standard.bin holds 14 bytes and other.bin holds 15");
    moved.base_address = 0x100;
    EXPECT_EQ(describe(compare(description(), regions(), kStandard, moved).error()),
              "other.bin: images at one base address expected, standard.bin begins at 0x0000 and other.bin at 0x0100");
}

}  // namespace
}  // namespace revwright
