#include "formats/csv/marks.h"

#include <gtest/gtest.h>
#include <string>

#include "formats/csv/cell_ends.h"

namespace revwright::csv {
namespace {

TEST(CsvMarks, AreTheSameWithAndWithoutWideInstructions) {
    for (std::size_t at = 0; at < kMarkedBytes; ++at)
        for (int byte = 0; byte < 256; ++byte) {
            std::string text(kMarkedBytes, '7');
            text[at] = static_cast<char>(byte);
            const Marks marks = marks_of(text.data(), ';');
            ASSERT_EQ(marks, marks_bytewise(text.data(), ';')) << at << ' ' << byte;
            const std::uint64_t bit = std::uint64_t{1} << at;
            ASSERT_EQ(marks.cells, byte == ';' || byte == '\n' ? bit : 0);
            ASSERT_EQ(marks.lines, byte == '\n' ? bit : 0);
        }
    for (std::uint64_t bits = 1; bits != 0; bits <<= 1) EXPECT_EQ(bits_set(bits) + bits_set(~bits), 64u);
}

TEST(CsvMarks, TellWhereCellsAndLinesEnd) {
    CellEnds ends;
    for (std::size_t length = 0; length < 300; ++length) {
        std::string text;
        while (text.size() < length) text += text.size() % 7 == 3 ? '\n' : text.size() % 3 == 0 ? ',' : '1';
        ends.find(text, ',');
        std::vector<std::uint32_t> cells, lines;
        for (std::size_t i = 0; i < length; ++i) {
            if (text[i] == '1') continue;
            if (text[i] == '\n') lines.push_back(static_cast<std::uint32_t>(cells.size()));
            cells.push_back(static_cast<std::uint32_t>(i));
        }
        EXPECT_TRUE(std::ranges::equal(ends.cells(), cells)) << length;
        EXPECT_TRUE(std::ranges::equal(ends.lines(), lines)) << length;
    }
}

}  // namespace
}  // namespace revwright::csv
