// Files of records that others wrote: the triplets of the bincopy project (revision 193ecdb7), beside the project and
// not kept here.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <iterator>
#include <string>

#include "formats/ihex/reader.h"
#include "formats/srec/reader.h"
#include "image/file_bytes.h"

namespace revwright {
namespace {

class OpenRecords : public testing::Test {
protected:
    void SetUp() override {
        if (!std::filesystem::exists(folder)) GTEST_SKIP() << "no ../shared/data/hex beside the project";
    }

    std::string content(const std::string& name) const {
        std::ifstream in(folder / name, std::ios::binary);
        EXPECT_TRUE(in) << name;
        return std::string(std::istreambuf_iterator<char>(in), {});
    }
    Image image(const std::string& name) const {
        auto records = name.ends_with(".hex") ? ihex::read(content(name), name) : srec::read(content(name), name);
        if (!records) throw std::runtime_error(describe(records.error()));
        auto made = image_of_records(*std::move(records), name);
        if (!made) throw std::runtime_error(describe(made.error()));
        return *std::move(made);
    }

    const std::filesystem::path folder = "../shared/data/hex";  // tests run in the project's root
    const std::vector<std::string> every{"convert.hex", "convert.s19", "empty_main.hex", "empty_main.s19",
                                         "in.hex",      "in.s19",      "out.hex",        "out.s19"};
};

std::string text_of(const Image& image) {
    const std::vector<std::uint8_t> bytes = file_bytes(image);
    return {bytes.begin(), bytes.end()};
}

TEST_F(OpenRecords, HexAndSRecordOfOneProgramHoldTheSameBytes) {
    for (const char* name : {"convert", "empty_main", "out"}) {
        SCOPED_TRACE(name);
        const Image hex = image(name + std::string(".hex"));
        Image s19 = image(name + std::string(".s19"));
        EXPECT_EQ(hex.bytes, s19.bytes);
        EXPECT_EQ(hex.segments, s19.segments);
    }
    // The project's own statement of it: ranges and execution start address.
    const Image main_program = image("empty_main.hex");
    EXPECT_EQ(main_program.segments.front().address, 0x400238u);
    EXPECT_EQ(main_program.segments.front().length, 0x4002B4u - 0x400238u);
    EXPECT_NE(text_of(main_program).find(":0400000500400400B3"), std::string::npos);
    EXPECT_NE(text_of(image("empty_main.s19")).find("S804400400"), std::string::npos);
}

TEST_F(OpenRecords, TheBinaryHoldsThemAtTheirAddresses) {
    for (const char* name : {"convert", "out"}) {
        SCOPED_TRACE(name);
        const std::string bin = content(name + std::string(".bin"));
        const Image hex = image(name + std::string(".hex"));
        const std::uint64_t base = hex.segments.front().address;
        std::string laid_out(bin.size(), '\0');  // how the holes of the binary are filled
        for (const ImageSegment& run : hex.segments) {
            ASSERT_LE(run.address - base + run.length, bin.size());
            std::copy_n(hex.bytes.begin() + static_cast<std::ptrdiff_t>(run.offset), run.length,
                        laid_out.begin() + static_cast<std::ptrdiff_t>(run.address - base));
        }
        EXPECT_EQ(laid_out, bin);
    }
}

TEST_F(OpenRecords, AnUnchangedFileIsWrittenAsItWas) {
    for (const std::string& name : every) EXPECT_EQ(text_of(image(name)), content(name)) << name;
}

// Bytes taken from one format and put where the other holds them give the other's own file.
TEST_F(OpenRecords, BytesOfOneFormatGiveTheFileOfTheOther) {
    Image hex = image("empty_main.hex"), s19 = image("empty_main.s19");
    const std::vector<std::uint8_t> bytes = hex.bytes;
    std::ranges::fill(hex.bytes, std::uint8_t{0});
    std::ranges::fill(s19.bytes, std::uint8_t{0});
    hex.records = std::make_shared<RecordFile>(*ihex::read(text_of(hex), "blank.hex"));
    s19.records = std::make_shared<RecordFile>(*srec::read(text_of(s19), "blank.s19"));
    hex.bytes = s19.bytes = bytes;
    EXPECT_EQ(text_of(hex), content("empty_main.hex"));
    EXPECT_EQ(text_of(s19), content("empty_main.s19"));
}

TEST_F(OpenRecords, AChangedByteMovesItsTwoDigitsAndTheChecksumOfItsRecord) {
    for (const std::string& name : every) {
        const std::string before = content(name);
        const Image parent = image(name);
        for (const DataRecord& record : parent.records->records) {
            Image child = parent;
            const std::size_t last = record.data.size() - 1;
            child.bytes[*child.offset_of(record.address + last, 1)] ^= 0xFF;
            const std::string after = text_of(child);
            ASSERT_EQ(after.size(), before.size());
            for (std::size_t i = 0; i < after.size(); ++i) {
                const bool own = i >= record.data_at + 2 * last && i < record.proof_at + 2;
                ASSERT_TRUE(own || after[i] == before[i]) << name << " line " << record.line << " character " << i;
            }
            EXPECT_NE(after.substr(record.data_at + 2 * last, 2), before.substr(record.data_at + 2 * last, 2));
        }
    }
}

}  // namespace
}  // namespace revwright
