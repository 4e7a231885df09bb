#include "formats/sheets/document.h"

#include <gtest/gtest.h>
#include <string>

#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

std::string refusal(std::string_view text) {
    const Result<Node> node = read_document(text, "sheet.toml");
    return node ? "not refused" : describe(node.error());
}

TEST(Document, SaysWhereItIsNotToml) {
    EXPECT_EQ(refusal("a = 1\nb = \n"), "sheet.toml:2:5: not valid TOML (key-value pair): expected value, saw '\\n'");
    EXPECT_EQ(refusal("a = 1\na = 2\n"),
              "sheet.toml:2:5: not valid TOML (key-value pair): cannot redefine existing integer 'a'");
    EXPECT_EQ(refusal("a = \"open\n"),
              "sheet.toml:1:10: not valid TOML (string): unescaped control characters other than TAB (U+0009) are "
              "explicitly prohibited");
    EXPECT_EQ(
        refusal("a = 99999999999999999999\n"),
        "sheet.toml:1:25: not valid TOML (decimal integer): '99999999999999999999' is not representable in 64 bits");
    EXPECT_EQ(refusal("a = \"\xff\"\n"), "sheet.toml:1:5: not valid TOML: Encountered invalid utf-8 sequence");
}

// toml++ 3.3 asserts (in release: assumes) that a key follows; found by fuzzing.
TEST(Document, SurvivesAHeaderWithoutAKey) {
    EXPECT_EQ(
        refusal("[[ (= 1\n"),
        "sheet.toml:1:4: not valid TOML (key): expected bare key starting character or string delimiter, saw '('");
    EXPECT_EQ(
        refusal("[ =]\n"),
        "sheet.toml:1:3: not valid TOML (key): expected bare key starting character or string delimiter, saw '='");
}

// toml++ 3.3 marks these letters as unreachable outside of texts; found by fuzzing.
TEST(Document, RefusesLettersBeyondAsciiOutsideOfTexts) {
    EXPECT_EQ(refusal("a = 1 # ü\nstraße = 2\n"),
              "sheet.toml:2:5: not valid TOML (key-value pair): expected '=', saw '\u00DF'");
    EXPECT_EQ(refusal("\xEF\xBB\xBF\"straße\" = \"ü\" # ü\n"), "not refused");
}

// The parser's time for these grows with the square of their number; above the bound it would be seconds.
TEST(Document, RefusesMoreDottedKeysThanTheParserBears) {
    std::string keys;
    for (int i = 0; i < 20000; ++i) keys += "k" + std::to_string(i) + ".a = 1.5\n";
    EXPECT_EQ(refusal(keys), "not refused");
    EXPECT_EQ(refusal(keys + "\"é\".b = 1"), "sheet.toml:20001:7: keys hold at most 20000 dots in all, found more");
}

TEST(Document, DotsInTextsAndCommentsAreFree) {
    const std::string dots(100, '.');
    EXPECT_EQ(
        refusal("a = \"" + dots + "\" # " + dots + "\nb = \"\"\"\n" + dots + "\\\"\"\"\"\"\"\nc = '" + dots + "'\n"),
        "not refused");
    std::string key = "a";
    for (int i = 0; i < 31; ++i) key += ".\"{\"";  // quoted braces end no key
    EXPECT_EQ(refusal(key + " = 1"), "not refused");
    EXPECT_EQ(refusal(key + ".b = 1"), "sheet.toml:1:126: a key has at most 32 parts, found more");
}

TEST(Document, RefusesDepthBeforeItCanHurt) {
    std::string keys = "a";
    for (int i = 0; i < 200000; ++i) keys += ".a";
    EXPECT_EQ(refusal("x = 1\n[" + keys + "]\n"), "sheet.toml:2:65: a key has at most 32 parts, found more");
    EXPECT_EQ(refusal("x = " + std::string(300, '[')),
              "sheet.toml:1:21: values may be nested 16 deep at most, found more");
    EXPECT_EQ(refusal(std::string((1u << 20) + 1, ' ')),
              "sheet.toml: a sheet has at most 1048576 bytes, found 1048577");
}

TEST(Document, KeepsTheOrderOfTheFile) {
    const Result<Node> node = read_document("z = 1\n[b]\ny = 2\n[a.c]\nx = [1.5, true]\n", "sheet.toml");
    ASSERT_TRUE(node) << describe(node.error());
    ASSERT_EQ(node->items.size(), 3u);
    EXPECT_EQ(node->items[0].key, "z");
    EXPECT_EQ(node->items[1].key, "b");
    const Node* list = node->items[2].find("c")->find("x");
    EXPECT_EQ(list->at, (At{5, 5}));
    EXPECT_EQ(list->items[1].at, (At{5, 11}));
}

TEST(Words, NearestIsAtMostTwoEditsAway) {
    EXPECT_EQ(edit_distance("kitten", "sitting"), 3);  // the textbook pair of Levenshtein's measure
    EXPECT_EQ(edit_distance("mass_kg", "mas_kg"), 1);
    EXPECT_EQ(edit_distance("", "abcdef"), 3);
    constexpr std::string_view kKnown[] = {"mass_kg", "id"};
    EXPECT_EQ(nearest("massa_kgs", kKnown), "mass_kg");
    EXPECT_EQ(nearest("xy", kKnown), "");  // two edits would turn it into any two letters
}

TEST(Words, MessagesStayShortAndPrintable) {
    EXPECT_EQ(quoted("a\nb"), "\"a?b\"");
    EXPECT_EQ(printable("ab\xC3\xA9", 3), "ab...");  // never half a character
}

}  // namespace
}  // namespace revwright::sheets
