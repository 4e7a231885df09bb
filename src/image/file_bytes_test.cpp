#include "image/file_bytes.h"

#include <gtest/gtest.h>
#include <string>

#include "formats/ihex/reader.h"
#include "formats/srec/reader.h"
#include "image/patch.h"

namespace revwright {
namespace {

Image image_of(Result<RecordFile> records) {
    if (!records) throw std::runtime_error(describe(records.error()));
    auto image = image_of_records(*std::move(records), "a.hex");
    if (!image) throw std::runtime_error(describe(image.error()));
    return *std::move(image);
}

std::string text_of(const Image& image) {
    const std::vector<std::uint8_t> bytes = file_bytes(image);
    return {bytes.begin(), bytes.end()};
}

// Two runs of addresses, the later one first in the file; odd line ends and a
// start address that must stay.
const std::string kTwoRuns =
    ":020000040800F2\r\n"
    ":04000000102030405C\r\n"
    ":0400000500000000F7\n"
    ":020000040000FA\n"
    ":03010000aabbcccb\n"
    ":00000001FF\n";

TEST(FileBytes, RecordsBecomeRunsOfRisingAddresses) {
    const Image image = image_of(ihex::read(kTwoRuns, "a.hex"));
    ASSERT_EQ(image.segments.size(), 2u);
    EXPECT_EQ(image.segments[0], (ImageSegment{0x100, 0, 3}));
    EXPECT_EQ(image.segments[1], (ImageSegment{0x08000000, 3, 4}));
    EXPECT_EQ(image.bytes, (std::vector<std::uint8_t>{0xAA, 0xBB, 0xCC, 0x10, 0x20, 0x30, 0x40}));
    EXPECT_EQ(image.base_address, 0x100u);
    EXPECT_EQ(image.offset_of(0x08000001, 2), 4u);
    EXPECT_EQ(image.offset_of(0x102, 2), std::nullopt) << "reaches into the hole";
    EXPECT_EQ(image.offset_of(0xFF, 1), std::nullopt);
    EXPECT_EQ(image.offset_of(0x08000004, 1), std::nullopt);
    EXPECT_EQ(image.address_of(2), 0x102u);
    EXPECT_EQ(image.address_of(3), 0x08000000u);
}

TEST(FileBytes, AnUnchangedImageIsItsFile) {
    const Image image = image_of(ihex::read(kTwoRuns, "a.hex"));
    EXPECT_EQ(text_of(image), kTwoRuns);
    EXPECT_EQ(image.digest, sha256(file_bytes(image)));
}

TEST(FileBytes, AChangedByteChangesItsRecordAlone) {
    const Image parent = image_of(ihex::read(kTwoRuns, "a.hex"));
    Image child = parent;
    child.bytes[1] = 0xAB;  // in the record of small letters
    child.bytes[5] = 0xFE;
    std::string expected = kTwoRuns;
    expected.replace(expected.find("aabbcc"), 8, "aaabccdb");
    expected.replace(expected.find("102030405C"), 10, "1020FE408E");
    EXPECT_EQ(text_of(child), expected);
    const auto again = ihex::read(text_of(child), "b.hex");
    ASSERT_TRUE(again) << describe(again.error());
    EXPECT_EQ(image_of(again).bytes, child.bytes);
}

TEST(FileBytes, ThePatchOfAChildRestoresTheParentsFile) {
    const Image parent = image_of(ihex::read(kTwoRuns, "a.hex"));
    Image child = parent;
    child.bytes[2] = 0x01;
    child.bytes[3] = 0x02;  // the next byte, but far away in addresses
    child.digest = sha256(file_bytes(child));
    const Patch patch = difference(parent, child);
    ASSERT_EQ(patch.entries.size(), 2u) << "one run a segment";
    const Image read_back = image_of(ihex::read(text_of(child), "b.hex"));
    const auto restored = undo(read_back, patch);
    ASSERT_TRUE(restored) << describe(restored.error());
    EXPECT_EQ(text_of(*restored), kTwoRuns);
}

TEST(FileBytes, AnSRecordKeepsItsOwnChecksum) {
    const std::string text = "S1090040726C642E0A003C\nS9030000FC\n";
    Image image = image_of(srec::read(text, "a.s19"));
    EXPECT_EQ(text_of(image), text);
    image.bytes[0] = 0x73;
    EXPECT_EQ(text_of(image), "S1090040736C642E0A003B\nS9030000FC\n");
}

TEST(FileBytes, AnAddressGivenTwiceIsRefused) {
    auto records = ihex::read(":0200000010 20CE\n", "a.hex");
    EXPECT_FALSE(records);
    records = ihex::read(":020000001020CE\n:0100010030CE\n:00000001FF\n", "a.hex");
    ASSERT_TRUE(records) << describe(records.error());
    const auto image = image_of_records(*records, "a.hex");
    ASSERT_FALSE(image);
    EXPECT_EQ(describe(image.error()), "a.hex:2: expected each address once, found 0x0001 again");
}

}  // namespace
}  // namespace revwright
