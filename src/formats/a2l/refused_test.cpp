#include "formats/a2l/reading_test.h"

namespace revwright::a2l {
namespace {

std::string refusal(const std::string& text) {
    const auto set = read(text, "bad.a2l", {});
    if (!set) return describe(set.error());
    ADD_FAILURE() << "was read";
    return {};
}

struct Row {
    std::string text;
    const char* said;
};

TEST(A2lRefused, WhatMakesAFileUnusable) {
    const Row rows[] = {
        {"", "bad.a2l:1:1: expected an A2L description, found no /begin PROJECT"},
        {"time;rpm\n0;800\n", "bad.a2l:1:1: expected an A2L description, found no /begin PROJECT"},
        {"/begin MODULE M \"\" /end MODULE", "bad.a2l:1:1: expected an A2L description, found no /begin PROJECT"},
        {"/begin PROJECT P \"\" /begin HEADER \"\" /end HEADER /end PROJECT",
         "bad.a2l:1:1: the PROJECT holds no MODULE"},
        {std::string("/begin PROJECT P \"\"\0/end PROJECT", 32),
         "bad.a2l at byte 19: expected text, found a zero byte"},
        {"/begin PROJECT P \"\"\n/begin MODULE M \"\"\n /begin GROUP G",
         "bad.a2l:3:9: the GROUP that begins here is never ended; "
         "bad.a2l:2:8: the MODULE that begins here is never ended; "
         "bad.a2l:1:8: the PROJECT that begins here is never ended"},
        {"/begin PROJECT P \"\" /begin MODULE M \"\" /end MODULE\n /* cut",
         "bad.a2l:2:2: the comment that begins here is never closed; "
         "bad.a2l:1:8: the PROJECT that begins here is never ended"},
        {"/begin PROJECT P \"\" /begin MODULE M \"open\n/end MODULE /end PROJECT",
         "bad.a2l:1:37: the quote that begins here is never closed"},
    };
    for (const Row& row : rows) EXPECT_EQ(refusal(row.text), row.said);
}

TEST(A2lRefused, WhatElseWasMetIsSaidToo) {
    const std::string said = refusal(
        "/begin PROJECT P \"\" /begin MODULE M \"\"\n/begin CHARACTERISTIC A \"\" VALUE far L 0 C 0 1 /end "
        "CHARACTERISTIC\n"
        "/begin CHARACTERISTIC B \"\" VALUE 1 L 0 C low 1 /end CHARACTERISTIC\n");
    EXPECT_TRUE(holds(said, "bad.a2l:1:28: the MODULE that begins here is never ended"));
    EXPECT_TRUE(holds(said, "bad.a2l:2:34: CHARACTERISTIC A: expected an address, found \"far\""));
    EXPECT_TRUE(holds(said, "bad.a2l:3:42: CHARACTERISTIC B: expected a lower limit, found \"low\""));
}

TEST(A2lRefused, BlocksWithoutEnd) {
    std::string deep;
    for (int i = 0; i < 100'000; ++i) deep += "/begin X ";
    EXPECT_TRUE(
        holds(refusal("/begin PROJECT P \"\" /begin MODULE M \"\" " + deep), "blocks are nested deeper than 200"));
}

TEST(A2lRefused, EndsThatFitNothing) {
    const ParameterSet set = read_with_common(
        "/end ORCHARD\n/begin CHARACTERISTIC P \"\" VALUE 1 L_U8 0 NO_COMPU_METHOD 0 1 /begin IF_DATA X /begin Y /end "
        "IF_DATA /end CHARACTERISTIC /begin\n\"x\"");
    EXPECT_EQ(named(set, "P").why_not, "");
    EXPECT_TRUE(holds(notes(set), "harrow.a2l:5:1: /end ORCHARD ends nothing"));
    EXPECT_TRUE(holds(notes(set), "Y has no /end before the /end IF_DATA of line 6"));
    EXPECT_TRUE(holds(notes(set), "expected the name of a block behind /begin"));
}

TEST(A2lRefused, ThousandsOfProblemsAreCounted) {
    std::string many;
    for (int i = 0; i < 5'000; ++i) many += "/end NOTHING ";
    const ParameterSet set = read_with_common(many);
    ASSERT_EQ(set.notes.size(), 51U);
    EXPECT_EQ(set.notes.back(), "4950 more of the kind are not listed");
}

}  // namespace
}  // namespace revwright::a2l
