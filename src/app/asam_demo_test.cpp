#include <algorithm>
#include <filesystem>
#include <gtest/gtest.h>

#include "app/files.h"
#include "formats/a2l/reader.h"
#include "image/parameter_reader.h"

namespace revwright::app {
namespace {

// ASAM's own example of the standard (version 1.61), which lies beside the project where it may be used; the image is
// made here, with numbers at the addresses the example gives. Least significant byte first, words at even addresses.

constexpr std::uint64_t kFirst = 0x810000;

class AsamDemo : public testing::Test {
protected:
    void SetUp() override {
        const std::filesystem::path file = "../shared/data/a2l/ASAP2_Demo_V161.a2l";
        if (!std::filesystem::exists(file)) GTEST_SKIP() << file << " is not here";
        const auto text = read_text(file);
        ASSERT_TRUE(text);
        const auto none = [](const std::string& path) -> Result<std::string> {
            return fail(Fault::not_found, path + " is not here");
        };
        auto set = a2l::read(*text, "demo.a2l", none);
        ASSERT_TRUE(set) << describe(set.error());
        set_ = std::move(*set);
    }

    void bytes(std::uint64_t address, std::initializer_list<int> values) {
        for (const int value : values) image_.bytes.at(address++ - kFirst) = static_cast<std::uint8_t>(value);
    }
    void words(std::uint64_t address, std::initializer_list<int> values) {
        for (const int value : values) {
            bytes(address, {value & 0xFF, (value >> 8) & 0xFF});
            address += 2;
        }
    }
    ReadParameter read(const std::string& name) const {
        const auto reading = read_parameters(set_, image_).reading;
        const auto found = std::ranges::find(reading.parameters, name, &ReadParameter::name);
        EXPECT_NE(found, reading.parameters.end()) << name;
        return found == reading.parameters.end() ? ReadParameter{} : *found;
    }

    ParameterSet set_;
    Image image_{.file = "made.bin", .base_address = kFirst, .bytes = std::vector<std::uint8_t>(0x1000, 0)};
};

using Numbers = std::vector<double>;

TEST_F(AsamDemo, OneWordInEveryConversion) {
    words(0x810004, {100});
    EXPECT_EQ(set_.parameters.size(), 52u);  // 50 CHARACTERISTIC, 2 AXIS_PTS
    EXPECT_EQ(read("ASAM.C.SCALAR.SWORD.IDENTICAL").values, Numbers{100});
    EXPECT_EQ(read("ASAM.C.SCALAR.SWORD.LINEAR_MUL_2").values, Numbers{200});
    EXPECT_EQ(read("ASAM.C.SCALAR.SWORD.RAT_FUNC_DIV_10").values, Numbers{10});
    EXPECT_EQ(read("ASAM.C.SCALAR.SWORD.FORM_X_PLUS_4").values, Numbers{104});
    EXPECT_TRUE(read("ASAM.C.SCALAR.SWORD.RAT_FUNC_DIV_10").writable);
    EXPECT_FALSE(read("ASAM.C.SCALAR.SWORD.FORM_X_PLUS_4").writable);
    EXPECT_FALSE(read("ASAM.C.SCALAR.SWORD.TAB_VERB_DEFAULT_VALUE").words.empty());
}

TEST_F(AsamDemo, MasksGiveTheirBits) {
    words(0x810002, {0x0011});
    EXPECT_EQ(read("ASAM.C.SCALAR.UWORD.IDENTICAL.BITMASK_0001").raw, Numbers{1});
    EXPECT_EQ(read("ASAM.C.SCALAR.UWORD.IDENTICAL.BITMASK_0010").raw, Numbers{1});
}

TEST_F(AsamDemo, BlocksInRowsAndColumns) {
    words(0x810100, {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11});
    words(0x810120, {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11});
    const auto rows = read("ASAM.C.ARRAY.SWORD.MATRIX_DIM_3_4.ROW_DIR");
    EXPECT_EQ(rows.shape, (std::vector<std::size_t>{3, 4}));
    EXPECT_EQ(rows.values, (Numbers{0, 3, 6, 9, 1, 4, 7, 10, 2, 5, 8, 11}));
    EXPECT_EQ(read("ASAM.C.ARRAY.SWORD.MATRIX_DIM_3_4.COLUMN_DIR").values,
              (Numbers{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}));
}

TEST_F(AsamDemo, TextEndsAtItsZero) {
    bytes(0x810200, {'A', 'R', 'D', 'E', 'N', 0, 'x'});
    EXPECT_EQ(read("ASAM.C.ASCII.UBYTE.NUMBER_42").text, "ARDEN");
}

TEST_F(AsamDemo, AMapWithItsCountsInMemory) {
    bytes(0x810400, {2, 3, 10, 20, 1, 2, 3});
    words(0x810408, {0, 1, 2, 3, 4, 5});  // the word after seven bytes stands at an even address
    const auto map = read("ASAM.C.MAP.STD_AXIS.STD_AXIS");
    EXPECT_EQ(map.shape, (std::vector<std::size_t>{2, 3}));
    EXPECT_EQ(map.values, (Numbers{0, 2, 4, 1, 3, 5}));
    EXPECT_EQ(map.axes.at(0).values, (Numbers{10, 20}));
    EXPECT_EQ(map.axes.at(1).words.size(), 3u);
    EXPECT_FALSE(map.writable);
}

TEST_F(AsamDemo, FixedAxes) {
    EXPECT_EQ(read("ASAM.C.CURVE.FIX_AXIS.PAR_DIST").axes.at(0).values, (Numbers{1, 2, 3, 4, 5, 6}));
    EXPECT_EQ(read("ASAM.C.CURVE.FIX_AXIS.PAR_LIST").axes.at(0).values, (Numbers{-1, 4, 6, 8, 9, 10}));
    EXPECT_TRUE(read("ASAM.C.CURVE.FIX_AXIS.PAR_LIST").writable);
}

TEST_F(AsamDemo, TheRescaledAxis) {
    bytes(0x8103B0, {3, 0, 0, 0, 100, 192, 216, 255});  // its own cells end on it: so the example has it
    const auto curve = read("ASAM.C.CURVE.RES_AXIS");
    ASSERT_EQ(curve.axes.at(0).values.size(), 9u);
    EXPECT_NEAR(curve.axes[0].values[1], 16.6667, 5e-5);
    EXPECT_NEAR(curve.axes[0].values[7], 158.920635, 5e-7);
}

TEST_F(AsamDemo, WhatDependsOnOthersIsNotWritten) {
    EXPECT_FALSE(read("ASAM.C.DEPENDENT.REF_1.SWORD").writable);
    EXPECT_FALSE(read("ASAM.C.VIRTUAL.REF_1.SWORD").has_values());
    EXPECT_FALSE(read("ASAM.C.VIRTUAL.REF_1.SWORD").why_not.empty());
}

}  // namespace
}  // namespace revwright::app
