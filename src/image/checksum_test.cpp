#include "image/checksum.h"

#include <gtest/gtest.h>
#include <string_view>

namespace revwright {
namespace {

/// "123456789" from address 0x100 on, then room for stores.
Image digits() {
    Image image{"digits.bin", 0x100, {}, {}};
    for (const char c : std::string_view("123456789")) image.bytes.push_back(static_cast<std::uint8_t>(c));
    image.bytes.resize(32);
    return image;
}

ChecksumRegion sum(ChecksumKind kind, std::uint64_t start, std::uint64_t end, std::uint64_t store) {
    ChecksumRegion region;
    region.kind = kind;
    region.start = start;
    region.end = end;
    region.store = store;
    region.where = {"job.toml", 7, 1};
    return region;
}

TEST(Checksum, ByteSumsOfNineDigits) {
    // By hand: 0x31 + ... + 0x39 = 0x1DD.
    ChecksumRegion region = sum(ChecksumKind::sum8, 0x100, 0x108, 0x110);
    EXPECT_EQ(compute(region, digits()), 0xDDu);
    region.complement = Complement::ones;
    EXPECT_EQ(compute(region, digits()), 0x22u);
    region.complement = Complement::twos;
    EXPECT_EQ(compute(region, digits()), 0x23u);
    region.kind = ChecksumKind::sum16;
    region.word = 1;
    EXPECT_EQ(compute(region, digits()), 0xFE23u);
    region.complement = Complement::none;
    EXPECT_EQ(compute(region, digits()), 0x01DDu);
}

TEST(Checksum, WordsAreAddedInTheirByteOrder) {
    // By hand over "12345678".
    ChecksumRegion region = sum(ChecksumKind::sum16, 0x100, 0x107, 0x110);
    EXPECT_EQ(compute(region, digits()), 0xD0D4u);  // 3132 + 3334 + 3536 + 3738 = D0D4
    region.byte_order = ByteOrder::little;
    EXPECT_EQ(compute(region, digits()), 0xD4D0u);
    region.kind = ChecksumKind::sum32;
    EXPECT_EQ(compute(region, digits()), 0x6C6A6866u);  // 34333231 + 38373635
    region.word = 2;
    EXPECT_EQ(compute(region, digits()), 0xD4D0u);
    region.byte_order = ByteOrder::big;
    region.word = 4;
    EXPECT_EQ(compute(region, digits()), 0x66686A6Cu);
}

TEST(Checksum, CrcGoesThroughTheSameDoor) {
    ChecksumRegion region = sum(ChecksumKind::crc32, 0x100, 0x108, 0x110);
    region.polynomial = 0x04C11DB7;
    region.initial = region.final_xor = 0xFFFFFFFF;
    region.reflected = true;
    EXPECT_EQ(compute(region, digits()), 0xCBF43926u);  // [CRC-catalogue]
}

TEST(Checksum, StatesSayWhatIsStoredAndWhatShouldBe) {
    Image image = digits();
    ChecksumRegion region = sum(ChecksumKind::sum16, 0x100, 0x107, 0x110);
    region.byte_order = ByteOrder::little;
    image.bytes[0x10] = 0xD0;
    const auto wrong = check_all(std::vector{region}, image);
    ASSERT_TRUE(wrong);
    EXPECT_EQ(wrong->at(0).found, 0x00D0u);
    EXPECT_EQ(wrong->at(0).expected, 0xD4D0u);
    EXPECT_FALSE(wrong->at(0).ok());
    image.bytes[0x11] = 0xD4;
    EXPECT_TRUE(check_all(std::vector{region}, image)->at(0).ok());
}

TEST(Checksum, OneThatCoversAnotherIsSettledLast) {
    Image image = digits();
    // The outer one is declared first and covers the store of the inner one.
    const std::vector regions{sum(ChecksumKind::sum32, 0x100, 0x113, 0x118),
                              sum(ChecksumKind::sum8, 0x100, 0x108, 0x110)};
    EXPECT_EQ(*settling_order(regions), (std::vector<std::size_t>{1, 0}));
    ASSERT_TRUE(settle(regions, image));
    EXPECT_EQ(image.bytes[0x10], 0xDD);
    const auto states = check_all(regions, image);
    ASSERT_TRUE(states);
    for (const ChecksumState& state : *states) EXPECT_TRUE(state.ok()) << state.store;
}

TEST(Checksum, ARingIsRefused) {
    const std::vector regions{sum(ChecksumKind::sum8, 0x100, 0x107, 0x110),
                              sum(ChecksumKind::sum8, 0x110, 0x117, 0x100)};
    const auto order = settling_order(regions);
    ASSERT_FALSE(order);
    EXPECT_EQ(
        describe(order.error()),
        "job.toml:7:1: the checksums stored at 0x0110, 0x0100 lie in a ring inside each other's regions: no order "
        "settles them");
}

struct RefusedRow {
    std::vector<ChecksumRegion> regions;
    const char* sentence;
};

TEST(Checksum, RefusesDeclarationsThatCannotBe) {
    ChecksumRegion wide = sum(ChecksumKind::crc16, 0x100, 0x107, 0x110);
    wide.polynomial = 0x11021;
    ChecksumRegion odd = sum(ChecksumKind::sum32, 0x100, 0x107, 0x110);
    odd.word = 3;
    const RefusedRow kRows[] = {
        {{sum(ChecksumKind::sum8, 0x107, 0x100, 0x110)},
         "the checksum stored at 0x0110 covers 0x0107 to 0x0100: its end lies before its start"},
        {{sum(ChecksumKind::sum8, 0x0F0, 0x107, 0x110)},
         "the region of the checksum stored at 0x0110 lies at 0x00F0 to 0x0107, outside image digits.bin, which holds "
         "0x0100 to 0x011F"},
        {{sum(ChecksumKind::sum8, 0x100, 0x120, 0x110)},
         "the end of the region of the checksum stored at 0x0110 lies at 0x0120 to 0x0120, outside image digits.bin, "
         "which holds 0x0100 to 0x011F"},
        {{sum(ChecksumKind::sum8, 0, 0xFFFFFFFFFFFFFFFF, 0x110)},
         "the end of the region of the checksum stored at 0x0110 lies at 0xFFFFFFFFFFFFFFFF to 0xFFFFFFFFFFFFFFFF, "
         "outside image digits.bin, which holds 0x0100 to 0x011F"},
        {{sum(ChecksumKind::sum32, 0x100, 0x107, 0x11E)},
         "the checksum stored at 0x011E lies at 0x011E to 0x0121, outside image digits.bin, which holds 0x0100 to "
         "0x011F"},
        {{sum(ChecksumKind::sum32, 0x100, 0x107, 0x104)},
         "the checksum stored at 0x0104 lies inside the region it covers, 0x0100 to 0x0107"},
        {{sum(ChecksumKind::sum32, 0x100, 0x106, 0x110)},
         "the checksum stored at 0x0110 covers 7 bytes, not a whole number of 4-byte words"},
        {{odd}, "the checksum stored at 0x0110 adds 3 bytes at a time, 1, 2 or 4 expected"},
        {{wide}, "the checksum stored at 0x0110 has a parameter of 0x11021, wider than 16 bits"},
        {{sum(ChecksumKind::sum16, 0x100, 0x107, 0x110), sum(ChecksumKind::sum8, 0x100, 0x107, 0x111)},
         "two checksums are stored over each other, at 0x0110 and 0x0111"},
    };
    for (const RefusedRow& row : kRows) {
        const auto states = check_all(row.regions, digits());
        ASSERT_FALSE(states) << row.sentence;
        EXPECT_EQ(states.error().what, row.sentence);
        EXPECT_EQ(states.error().place->line, 7u);
    }
}

}  // namespace
}  // namespace revwright
