#pragma once

#include <gtest/gtest.h>
#include <string>
#include <string_view>

#include "core/error.h"

namespace revwright::sheets {

/// One way to spoil a valid sheet: `from` is replaced by `to`, in which '^' marks the expected place of the error.
struct Spoilt {
    const char* from;
    const char* to;
    const char* message;
};

/// The spoilt sheet without its mark, and the message it must give: "sheet.toml:line:column: sentence".
struct Case {
    std::string sheet, message;
};

inline Case spoil(std::string sheet, const Spoilt& row) {
    const std::size_t at = sheet.find(row.from);
    EXPECT_NE(at, std::string::npos) << "the valid sheet has no " << row.from;
    if (at == std::string::npos) return {};
    sheet.replace(at, std::string_view(row.from).size(), row.to);
    const std::size_t mark = sheet.find('^');
    EXPECT_NE(mark, std::string::npos) << "no place is marked";
    if (mark == std::string::npos) return {};
    sheet.erase(mark, 1);
    std::size_t line = 1, column = 1;
    for (const char c : std::string_view(sheet).substr(0, mark)) {
        column = c == '\n' ? 1 : column + 1;
        line += c == '\n' ? 1 : 0;
    }
    return {sheet, "sheet.toml:" + std::to_string(line) + ":" + std::to_string(column) + ": " + row.message};
}

/// Every row must be refused with its very sentence and place.
template <class Read, std::size_t N>
void expect_refused(Read read, const char* valid, const Spoilt (&rows)[N]) {
    for (const Spoilt& row : rows) {
        SCOPED_TRACE(row.to);
        const Case spoilt = spoil(valid, row);
        const auto result = read(spoilt.sheet, "sheet.toml");
        ASSERT_FALSE(result) << "not refused, expected: " << spoilt.message;
        EXPECT_EQ(describe(result.error()), spoilt.message);
    }
}

}  // namespace revwright::sheets
