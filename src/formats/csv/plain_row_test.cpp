#include "formats/csv/plain_row.h"

#include <array>
#include <bit>
#include <cmath>
#include <gtest/gtest.h>
#include <string>

namespace revwright::csv {
namespace {

/// What the row reader makes of one cell: "no" where it leaves it to others, else the number's bits.
std::string quickly(const std::string& cell, char decimal) {
    const std::string text = "99999999" + cell + "\n";  // digits before the cell must not be taken for its own
    const std::array ends{static_cast<std::uint32_t>(text.size() - 1)};
    double value = 0.0;
    if (!PlainRow(decimal).read(text.data() + 8, text.data(), ends, &value, 1)) return "no";
    return std::isnan(value) ? "blank" : std::to_string(std::bit_cast<std::uint64_t>(value));
}

std::string simply(const std::string& cell, char decimal) {
    if (cell.empty()) return "blank";
    const auto number = whole_number(cell, decimal);
    return number ? std::to_string(std::bit_cast<std::uint64_t>(*number)) : "no";
}

TEST(CsvPlainRow, ReadsEveryShortCellAsTheSimpleReaderDoes) {
    const std::string letters = "0197.,-+e /:";  // '/' and ':' are beside the digits, '/' beside the point as well
    for (const char decimal : {'.', ','})
        for (std::size_t length = 0; length <= 5; ++length) {
            std::string cell(length, letters.front());
            std::vector<std::size_t> index(length, 0);
            for (bool more = true; more;) {
                for (std::size_t i = 0; i < length; ++i) cell[i] = letters[index[i]];
                ASSERT_EQ(quickly(cell, decimal), simply(cell, decimal)) << '"' << cell << '"' << decimal;
                std::size_t i = 0;
                while (i < length && ++index[i] == letters.size()) index[i++] = 0;
                more = i < length;
            }
        }
}

TEST(CsvPlainRow, ReadsNumbersOfEveryLength) {
    std::uint64_t state = 1;
    const auto next = [&] { return state = state * 6364136223846793005u + 1442695040888963407u, state >> 33; };
    for (int i = 0; i < 200'000; ++i) {
        std::string cell(next() % 20, '0');
        for (char& c : cell) c = static_cast<char>('0' + next() % 10);
        if (next() % 4 != 0) cell.insert(next() % (cell.size() + 1), ".");
        if (next() % 3 == 0) cell.insert(0, next() % 2 == 0 ? "-" : "+");
        if (next() % 8 == 0) cell += "e-" + std::to_string(next() % 30);
        if (next() % 16 == 0 && !cell.empty()) cell[next() % cell.size()] = static_cast<char>(next() % 255 + 1);
        if (cell.find('\r') != std::string::npos || cell.find('\n') != std::string::npos) continue;
        ASSERT_EQ(quickly(cell, '.'), simply(cell, '.')) << '"' << cell << '"';
    }
}

TEST(CsvPlainRow, TakesTheCarriageReturnOffTheLastCell) {
    EXPECT_EQ(quickly("1.5\r", '.'), simply("1.5", '.'));
    EXPECT_EQ(quickly("\r", '.'), "blank");
    EXPECT_EQ(quickly("1\r5", '.'), "no");
}

}  // namespace
}  // namespace revwright::csv
