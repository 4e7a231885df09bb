#include "formats/ihex/reader.h"

#include <gtest/gtest.h>

namespace revwright::ihex {
namespace {

std::string refusal_of(std::string text) {
    const auto read_back = read(std::move(text), "a.hex");
    return read_back ? "read" : describe(read_back.error());
}

constexpr const char* kEnd = ":00000001FF\n";

// Records and checksums: test vectors of the intelhex project, recomputed (":10010000...40", ":020000040800F2",
// ":020000021200EA", ":0400000500000000F7").
TEST(Ihex, ReadsDataBehindSegmentAndLinearAddresses) {
    const auto file = read(std::string(":10010000214601360121470136007EFE09D2190140\r\n"
                                       ":020000040800F2\n:0100000055AA\n\n:020000021200EA\n:0100000055AA\n"
                                       ":0400000500000000F7\n") +
                               kEnd,
                           "a.hex");
    ASSERT_TRUE(file) << describe(file.error());
    ASSERT_EQ(file->records.size(), 3u);
    EXPECT_EQ(file->records[0].address, 0x0100u);
    EXPECT_EQ(file->records[0].data.size(), 16u);
    EXPECT_EQ(file->records[0].data.front(), 0x21);
    EXPECT_EQ(file->records[0].data.back(), 0x01);
    EXPECT_EQ(file->records[1].address, 0x08000000u);
    EXPECT_EQ(file->records[2].address, 0x12000u);
}

TEST(Ihex, KnowsWhereEachRecordStandsInTheText) {
    const auto file = read(std::string("\n:0100000055AA\n") + kEnd, "a.hex");
    ASSERT_TRUE(file);
    const DataRecord& record = file->records.at(0);
    EXPECT_EQ(record.line, 2u);
    EXPECT_EQ(file->text.substr(record.first_at, 2), "01");
    EXPECT_EQ(file->text.substr(record.data_at, 2), "55");
    EXPECT_EQ(file->text.substr(record.proof_at, 2), "AA");
}

TEST(Ihex, RefusesWithLineAndColumn) {
    EXPECT_EQ(refusal_of(":0100000055AB\n"), "a.hex:1:12: expected the checksum AA, found AB");
    EXPECT_EQ(refusal_of("0100000055AA\n"),
              "a.hex:1:1: expected a colon, with which each record of Intel HEX begins, found '0'");
    EXPECT_EQ(refusal_of("\x7F"
                         "ELF"),
              "a.hex:1:1: expected a colon, with which each record of Intel HEX begins, found byte 0x7F");
    EXPECT_EQ(refusal_of(":01000000G5AA\n"),
              "a.hex:1:2: expected pairs of hexadecimal digits after the colon, found something else");
    EXPECT_EQ(refusal_of(":0200000055AA\n"), "a.hex:1:2: expected a record of 7 bytes as its first byte says, found 6");
    EXPECT_EQ(refusal_of(":0100000055AA\n"),
              "a.hex:1: expected an end record (:00000001FF), found the end of the file; it may have been cut");
    EXPECT_EQ(refusal_of(std::string(kEnd) + ":0100000055AA\n"),
              "a.hex:2:1: expected nothing after the end record, found another line");
    EXPECT_EQ(refusal_of(":00000006FA\n"), "a.hex:1:8: expected a record of type 00 to 05, found 06");
    EXPECT_EQ(refusal_of(":02FFFF0055AA01\n"),
              "a.hex:1:4: expected data that ends within its 64 KiB, found 2 bytes from 0xFFFF");
    EXPECT_EQ(refusal_of(kEnd), "a.hex: expected records that hold data, found none");
    EXPECT_EQ(refusal_of(""),
              "a.hex: expected an end record (:00000001FF), found the end of the file; it may have "
              "been cut");
}

}  // namespace
}  // namespace revwright::ihex
