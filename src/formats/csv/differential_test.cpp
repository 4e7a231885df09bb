#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "formats/csv/read_test.h"

// The quick reader against the simple one. What each oddity means is said by the other tests; all of their texts are
// read both ways as well (read_test.h).
namespace revwright::csv {
namespace {

rc::Gen<std::string> any_of(const std::vector<std::string>& texts) { return rc::gen::elementOf(texts); }

rc::Gen<std::string> plain_cell() {
    return rc::gen::map(
        rc::gen::tuple(rc::gen::inRange(-9999, 9999), rc::gen::inRange(0, 5)),
        [](const std::tuple<int, int>& of) { return fmt::format("{:.{}f}", std::get<0>(of) / 7.0, std::get<1>(of)); });
}

rc::Gen<std::string> odd_cell() {
    return any_of({"n/a",
                   "-",
                   "\"1.5\"",
                   "\"2,5\"",
                   "\"a,b\"",
                   "\"never closed",
                   "1e999",
                   "inf",
                   " 7 ",
                   "12 bar",
                   "on",
                   "0x1F",
                   "\"1,234.5\"",
                   "1'234",
                   "12:00:01.5",
                   "2026-03-01 10:00:00",
                   "1.2.3",
                   "+",
                   "7\t",
                   "123456789012.5",
                   "0.12345678901234567890",
                   "1e-7",
                   "\r",
                   "\"\"",
                   "\"8\" "});
}

rc::Gen<std::string> cell() {
    return rc::gen::weightedOneOf<std::string>(
        {{20, plain_cell()}, {3, rc::gen::just(std::string())}, {1, odd_cell()}});
}

/// The time of a row: as a rule it rises.
rc::Gen<std::string> time_cell(int row) {
    return rc::gen::weightedOneOf<std::string>(
        {{30, rc::gen::just(fmt::format("{:.2f}", 0.05 * row))},
         {1, any_of({"", "0", "12:00", "x", "1e999", "100000", "\"3.5\"", "0.05"})}});
}

struct Shape {
    std::string delimiter, header, end_of_line;
    int columns = 0;
};

rc::Gen<Shape> shape() {
    return rc::gen::map(rc::gen::tuple(any_of({",", ";", "\t"}), any_of({"\n", "\r\n"}), rc::gen::inRange(1, 8),
                                       rc::gen::inRange(0, 4)),
                        [](const std::tuple<std::string, std::string, int, int>& of) {
                            const auto& [delimiter, end, columns, kind] = of;
                            Shape made{delimiter, "time_s", end, columns};
                            for (int i = 1; i < columns; ++i) made.header += fmt::format("{}c{}", delimiter, i);
                            if (kind == 1) made.header += delimiter + "\"two" + end + "lines\"", ++made.columns;
                            if (kind == 2)
                                made.header += fmt::format("{}b{}time_s{}d", delimiter, delimiter, delimiter);
                            if (kind == 2) made.columns += 3;
                            if (kind == 3) made.header += end + "s" + delimiter + "rpm";
                            return made;
                        });
}

std::string line(const Shape& shape, int row) {
    const int kind = *rc::gen::weightedElement<int>({{40, 0}, {1, 1}, {1, 2}, {1, 3}, {1, 4}, {1, 5}});
    if (kind == 1) return shape.header;
    if (kind == 2) return "";
    if (kind == 3) return shape.header.substr(0, shape.header.size() / 2);
    const int columns = kind == 4 ? *rc::gen::inRange(1, shape.columns + 1) : shape.columns;
    std::string text = *time_cell(row);
    for (int i = 1; i < columns; ++i) text += shape.delimiter + *cell();
    if (kind == 5) text += shape.delimiter + *any_of({"", " ", "", "1", "\t"});
    return text;
}

RC_GTEST_PROP(CsvDifferential, TheQuickReaderGivesWhatTheSimpleOneGives, ()) {
    const Shape of = *shape();
    std::string text = of.header + of.end_of_line;
    const int rows = *rc::gen::inRange(3, 60);
    for (int row = 0; row < rows; ++row) text += line(of, row) + of.end_of_line;
    const auto cut = *rc::gen::weightedElement<std::size_t>({{3, 0}, {1, 1}, {1, 3}, {1, 9}});
    text.resize(text.size() - cut);
    const std::vector<char> bytes(text.begin(), text.end());
    const std::string_view exact(bytes.data(), bytes.size());
    const std::string simply = exact_text(read_simply(exact, "run.csv"));
    RC_CLASSIFY(simply.starts_with("run.csv:"), "refused");
    RC_ASSERT(exact_text(read(exact, "run.csv")) == simply);
    for (const std::size_t piece : {std::size_t{1}, std::size_t{64}, *rc::gen::inRange<std::size_t>(2, 900)}) {
        const std::size_t workers = *rc::gen::inRange<std::size_t>(1, 8);
        RC_ASSERT(exact_text(read_in_pieces(exact, "run.csv", piece, backwards(workers))) == simply);
    }
}

std::string long_log(const std::string& header, int rows) {
    std::string text = header + "\n";
    for (int row = 0; row < rows; ++row) {
        text += fmt::format("{:.3f},{},{:.1f},", 0.01 * row, row % 7000, row % 900 / 10.0);
        if (row % 10 == 0) text += "12.25";
        text += '\n';
        if (row % 5000 == 4999) text += header + "\n";
    }
    return text;
}

// Long enough for many pieces, columns that get their room at once, and rows across windows.
TEST(CsvDifferential, ALongLogIsTheSameForEveryNumberOfWorkers) {
    for (const char* header :
         {"time_s,a,b,slow", "\"time_s\",\"a\nb\",\"b\n1,2,3,4\",slow", "time_s,a,b,slow\ns,rpm,bar,"}) {
        const std::string text = long_log(header, 30'000);
        const std::string simply = exact_text(read_simply(text, "run.csv"));
        EXPECT_TRUE(exact_text(read(text, "run.csv")) == simply);
        for (std::size_t workers = 1; workers <= 7; ++workers)
            EXPECT_TRUE(exact_text(read_in_pieces(text, "run.csv", 1009, backwards(workers))) == simply) << workers;
    }
}

TEST(CsvDifferential, ARowLongerThanAnyPieceIsRead) {
    std::string text = "time_s", row;
    for (int i = 0; i < 3'000; ++i) text += fmt::format(",channel {}", i), row += fmt::format(",{}.123456789", i);
    text += '\n';
    for (int i = 0; i < 5; ++i) text += std::to_string(i) + row + '\n';
    EXPECT_EQ(log_of(text).channels.size(), 3'000u);
}

}  // namespace
}  // namespace revwright::csv
