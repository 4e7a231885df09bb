#include "formats/a2l/text.h"

#include "formats/a2l/include_path.h"
#include "formats/a2l/numbers.h"
#include "formats/a2l/reading_test.h"

namespace revwright::a2l {
namespace {

std::string utf16(std::string_view text, bool big, bool mark) {
    std::string bytes;
    const auto put = [&](unsigned unit) {
        bytes += static_cast<char>(big ? unit >> 8 : unit & 0xFF);
        bytes += static_cast<char>(big ? unit & 0xFF : unit >> 8);
    };
    if (mark) put(0xFEFF);
    for (const char c : text) put(c == '^' ? 0x00B0 : static_cast<unsigned char>(c));  // ^ stands for the degree sign
    return bytes;
}

const char* const kTemperature =
    "/begin MEASUREMENT T \"\" UBYTE NO_COMPU_METHOD 0 0 0 1 PHYS_UNIT \"^C\" /end MEASUREMENT";

std::string with_degree(std::string text, const std::string& degree) {
    text.replace(text.find('^'), 1, degree);
    return text;
}

TEST(A2lText, ADegreeSignIsOneInEveryEncoding) {
    const std::string plain = module_of(kTemperature);
    const std::string forms[] = {with_degree(plain, "\xC2\xB0"), "\xEF\xBB\xBF" + with_degree(plain, "\xC2\xB0"),
                                 with_degree(plain, "\xB0"),     utf16(plain, false, true),
                                 utf16(plain, true, true),       utf16(plain, false, false),
                                 utf16(plain, true, false)};
    for (const std::string& form : forms) {
        const auto set = read(form, "t.a2l", {});
        ASSERT_TRUE(set.has_value()) << describe(set.error());
        EXPECT_EQ(set->inputs.at("T").unit, "\xC2\xB0\x43");
    }
}

// RFC 3629: no overlong forms, no halves of surrogate pairs, nothing above U+10FFFF. What breaks these rules is
// Latin-1.
TEST(A2lText, WhatIsNoUtf8IsLatin1) {
    for (const char* bytes : {"\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\x80", "\xC2", "\xFF",
                              "aaaaaaaa\xF0\x9F\x98"}) {
        const auto text = utf8_of(bytes, "t.a2l");
        ASSERT_TRUE(text.has_value());
        EXPECT_TRUE(text->has_value()) << "was taken for UTF-8";
    }
    for (const char* bytes :
         {"", "plain", "\xC2\xB0", "\xE2\x82\xAC", "\xF0\x9F\x98\x80", "1234567\xC2\xB0", "\xED\x9F\xBF"}) {
        const auto text = utf8_of(bytes, "t.a2l");
        ASSERT_TRUE(text.has_value());
        EXPECT_FALSE(text->has_value()) << "was not taken for UTF-8";
    }
    EXPECT_EQ(**utf8_of("\xFF\xB5", "t.a2l"), "\xC3\xBF\xC2\xB5");
}

TEST(A2lText, BytesThatAreNoText) {
    EXPECT_EQ(describe(utf8_of(std::string_view("ab\0cd", 5), "t.a2l").error()),
              "t.a2l at byte 2: expected text, found a zero byte");
    EXPECT_TRUE(holds(describe(utf8_of("\xFF\xFE\x61", "t.a2l").error()), "half a character"));
    EXPECT_TRUE(
        holds(describe(utf8_of(std::string_view("\xFE\xFF\xD8\x00\x00\x61", 6), "t.a2l").error()), "surrogate"));
    EXPECT_EQ(**utf8_of(std::string_view("\xFE\xFF\xD8\x3D\xDE\x00", 6), "t.a2l"), "\xF0\x9F\x98\x80");
}

TEST(A2lNumber, DecimalAndHexadecimal) {
    EXPECT_EQ(number_of("-3.5e2"), -350.0);
    EXPECT_EQ(number_of("+4"), 4.0);
    EXPECT_EQ(number_of(".5"), 0.5);
    EXPECT_EQ(number_of("0x1F"), 31.0);
    EXPECT_EQ(whole_of("0xFFFFFFFFFFFFFFFF"), ~std::uint64_t{0});
    EXPECT_EQ(whole_of("8.0"), 8U);
    for (const char* word : {"", "-", "x", "0x", "0xG", "1e999", "inf", "nan", "1,5", "12a", "--1", "+-1"})
        EXPECT_FALSE(number_of(word).has_value()) << word;
    for (const char* word : {"-1", "1.5", "1e30", "0x1FFFFFFFFFFFFFFFF"})
        EXPECT_FALSE(whole_of(word).has_value()) << word;
}

TEST(A2lInclude, StaysInTheFolderOfTheDescription) {
    EXPECT_EQ(include_path("axes.a2l", ""), "axes.a2l");
    EXPECT_EQ(include_path("maps\\air\\ve.a2l", ""), "maps/air/ve.a2l");
    EXPECT_EQ(include_path("./maps//../axes.a2l", ""), "axes.a2l");
    EXPECT_EQ(include_path("axes.a2l", "maps/fuel.a2l"), "maps/axes.a2l")
        << "from the folder of the file that includes it";
    EXPECT_EQ(include_path("../axes.a2l", "maps/fuel.a2l"), "axes.a2l");
    for (const char* path : {"", "/etc/axes.a2l", "\\\\host\\axes.a2l", "\\axes.a2l", "C:\\axes.a2l", "c:axes.a2l",
                             "../axes.a2l", "maps/../../axes.a2l", "maps/..", "maps/", ".", "a\nb", "axes.a2l:stream"})
        EXPECT_FALSE(include_path(path, "").has_value()) << path;
    EXPECT_FALSE(include_path("../../axes.a2l", "maps/fuel.a2l").has_value());
}

TEST(A2lInclude, AnIncludedFileStandsInPlaceOfItsName) {
    const ParameterSet set = read_body(
        std::string(kCommon) + "/include \"maps/idle.a2l\"\n/include rest.a2l /* said */\n",
        {{"maps/idle.a2l",
          "/begin CHARACTERISTIC K_Idle \"\" VALUE 1 L_U8 0 NO_COMPU_METHOD 0 1 /include \"tail.a2l\""},
         {"maps/tail.a2l", "READ_ONLY /end CHARACTERISTIC"},
         {"rest.a2l", "\n /begin CHARACTERISTIC K_Rest \"\" VALUE x L_U8 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC"}});
    EXPECT_EQ(named(set, "K_Idle").why_not, "the description says READ_ONLY");
    EXPECT_EQ(named(set, "K_Idle").place.file, "maps/idle.a2l");
    EXPECT_TRUE(holds(notes(set), "rest.a2l:2:40: CHARACTERISTIC K_Rest: expected an address, found \"x\""));
}

TEST(A2lInclude, WhatCanNotBeIncludedIsSaidAndReadingGoesOn) {
    const ParameterSet set = read_body(
        std::string(kCommon) +
            "/include \"absent.aml\"\n/include \"../up.a2l\"\n/include \"ring.a2l\"\n/include \"harrow.a2l\"\n"
            "/begin CHARACTERISTIC P \"\" VALUE 1 L_U8 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC",
        {{"ring.a2l", "/include \"other.a2l\""}, {"other.a2l", "/include \"ring.a2l\""}, {"harrow.a2l", "x"}});
    EXPECT_EQ(set.parameters.size(), 1U);
    EXPECT_TRUE(holds(notes(set), "harrow.a2l:5:10: absent.aml is not included: there is no such file"));
    EXPECT_TRUE(holds(notes(set),
                      "harrow.a2l:6:10: ../up.a2l is not included: an included file lies in the folder of the "
                      "description or below it"));
    EXPECT_TRUE(holds(notes(set), "other.a2l:1:10: ring.a2l is not included: it includes itself"));
    EXPECT_TRUE(holds(notes(set), "harrow.a2l:8:10: harrow.a2l is not included: it includes itself"));
}

TEST(A2lInclude, IncludingIsBounded) {
    IncludedFiles deep;
    for (int i = 0; i < 20; ++i) deep["f" + std::to_string(i)] = "/include \"f" + std::to_string(i + 1) + "\"";
    EXPECT_TRUE(holds(notes(read_body("/include \"f0\"", deep)), "deeper than 8"));
    IncludedFiles wide;
    for (int i = 0; i < 6; ++i) {
        const std::string next = "/include \"g" + std::to_string(i + 1) + "\" ";
        wide["g" + std::to_string(i)] = next + next + next + next;
    }
    wide["g6"] = "";
    EXPECT_TRUE(holds(notes(read_body("/include \"g0\"", wide)), "more than 256 files are included"));
}

}  // namespace
}  // namespace revwright::a2l
