#include "formats/srec/reader.h"

#include <gtest/gtest.h>

namespace revwright::srec {
namespace {

std::string refusal_of(std::string text) {
    const auto read_back = read(std::move(text), "a.s19");
    return read_back ? "read" : describe(read_back.error());
}

// Records and checksums: test vectors of the bincopy project, recomputed.
TEST(Srec, ReadsAddressesOfThreeWidths) {
    const auto file = read(
        "S00F000068656C6C6F202020202000003C\r\n"
        "S32500000100214601360121470136007EFE09D219012146017E17C20001FF5F16002148011973\n"
        "S214400254040000001000000001000000474E550056\n"
        "S1090040726C642E0A003C\n"
        "S5030003F9\nS9030000FC\n",
        "a.s19");
    ASSERT_TRUE(file) << describe(file.error());
    ASSERT_EQ(file->records.size(), 3u);
    EXPECT_EQ(file->records[0].address, 0x100u);
    EXPECT_EQ(file->records[0].data.size(), 32u);
    EXPECT_EQ(file->records[1].address, 0x400254u);
    EXPECT_EQ(file->records[2].address, 0x40u);
    EXPECT_EQ(file->records[2].data.front(), 0x72);
    EXPECT_EQ(file->text.substr(file->records[2].first_at, 2), "09");
    EXPECT_EQ(file->text.substr(file->records[2].data_at, 2), "72");
    EXPECT_EQ(file->text.substr(file->records[2].proof_at, 2), "3C");
}

TEST(Srec, RefusesWithLineAndColumn) {
    const std::string data = "S1090040726C642E0A003C\n";
    EXPECT_EQ(refusal_of("S1020011\n"),
              "a.s19:1:3: expected 2 bytes after the first as that says, at least 3, found 2");
    EXPECT_EQ(refusal_of("S1090040726C642E0A003D\n"), "a.s19:1:21: expected the checksum 3C, found 3D");
    EXPECT_EQ(refusal_of(data + "S5030002FA\n"), "a.s19:2:5: expected a count of 1 data records, found 2");
    EXPECT_EQ(refusal_of("S4030000FC\n"), "a.s19:1:2: expected S0 to S3 or S5 to S9, found S4");
    EXPECT_EQ(refusal_of(":00000001FF\n"),
              "a.s19:1:1: expected S and a digit, with which each S-record begins, found ':'");
    EXPECT_EQ(refusal_of("S9030000FC\n" + data),
              "a.s19:2:1: expected nothing after the end record, found another line");
    EXPECT_EQ(refusal_of("S9030000FC\n"), "a.s19: expected records that hold data, found none");
    EXPECT_EQ(refusal_of("S105FFFF55AAFD\n"),
              "a.s19:1:5: expected data that ends within 16 bits of address, found 2 bytes from 0xFFFF");
}

}  // namespace
}  // namespace revwright::srec
