#include "core/text_lines.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

TEST(TextLines, CountsWhatItPassesOver) {
    TextLines lines("\r\n  \nab \r\n\n c");
    const auto first = lines.next();
    ASSERT_TRUE(first);
    EXPECT_EQ(first->text, "ab");
    EXPECT_EQ(first->number, 3u);
    EXPECT_EQ(first->at, 5u);
    const auto second = lines.next();
    ASSERT_TRUE(second);
    EXPECT_EQ(second->text, " c");
    EXPECT_EQ(second->number, 5u);
    EXPECT_EQ(second->at, 11u);
    EXPECT_FALSE(lines.next());
    EXPECT_EQ(lines.passed(), 5u);
    EXPECT_FALSE(TextLines("").next());
}

TEST(TextLines, AByteThatCannotBePrintedIsNamed) {
    EXPECT_EQ(character_text('a'), "'a'");
    EXPECT_EQ(character_text('\x7F'), "byte 0x7F");
    EXPECT_EQ(character_text('\xC3'), "byte 0xC3");
    EXPECT_EQ(character_text('\0'), "byte 0x00");
}

}  // namespace
}  // namespace revwright
