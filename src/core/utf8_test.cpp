#include "core/utf8.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

std::string utf8(char32_t code) {
    std::string text;
    append_utf8(text, code);
    return text;
}

TEST(Utf8, WritesTheExamplesOfTheStandard) {
    // RFC 3629, section 7: A, not identical to, the Korean "han", the Chinese stump of a tree.
    EXPECT_EQ(utf8(0x41), "\x41");
    EXPECT_EQ(utf8(0x2262), "\xE2\x89\xA2");
    EXPECT_EQ(utf8(0xD55C), "\xED\x95\x9C");
    EXPECT_EQ(utf8(0x233B4), "\xF0\xA3\x8E\xB4");
}

TEST(Utf8, EveryCharacterIsAsLongAsItIsWritten) {
    for (char32_t code = 0; code <= 0x10FFFF; code += 7) {
        if (code >= 0xD800 && code < 0xE000) continue;
        const std::string text = utf8(code);
        ASSERT_EQ(utf8_length(text + "x"), text.size()) << static_cast<unsigned>(code);
        if (text.size() > 1) {
            ASSERT_EQ(utf8_length(std::string_view(text).substr(0, text.size() - 1)), 0U);
        }
    }
}

TEST(Utf8, WhatTheStandardForbidsIsNoCharacter) {
    for (const char* wrong : {"\x80", "\xC0\x80", "\xC1\xBF", "\xE0\x9F\xBF", "\xED\xA0\x80", "\xF0\x8F\xBF\xBF",
                              "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFF", "\xE2\x28\xA1"})
        EXPECT_EQ(utf8_length(wrong), 0U) << wrong;
}

}  // namespace
}  // namespace revwright
