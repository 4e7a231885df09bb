#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace revwright::csv {

/// Without blanks, tabs and carriage returns at both ends.
std::string_view trim(std::string_view text);

/// One line of the file, without its line end.
struct Line {
    std::string_view text;
    std::size_t number = 0;  // from 1
    bool ended = true;       // false for a last line that no line end follows
};

/// Walks through the lines of a file. Line ends are LF or CR LF.
class Lines {
public:
    explicit Lines(std::string_view bytes) : rest_(bytes) {}
    bool next(Line& line);
    /// As next, but a cell whose quotes close on one of the following lines brings these lines with it, as headers
    /// with line breaks in them need.
    bool next_whole(Line& line);

private:
    std::string_view rest_;
    std::size_t number_ = 1;
};

/// The cells of a line one after the other, still quoted. A delimiter between quotes does not split; a quote that never
/// closes takes the rest of the line.
class Cells {
public:
    Cells(std::string_view line, char delimiter) : line_(line), delimiter_(delimiter) {}
    bool next(std::string_view& cell);

private:
    std::string_view line_;
    char delimiter_;
    std::size_t begin_ = 0;
    bool done_ = false;
};

/// All cells of a line, at most `most` of them.
std::vector<std::string_view> split(std::string_view line, char delimiter, std::size_t most = std::string_view::npos);

/// How many cells the line has.
std::size_t count_cells(std::string_view line, char delimiter);

/// How many bytes at the start of `text` the quoted field takes, both quotes included; 0 if it never closes.
/// `text` starts with a quote.
std::size_t quoted_length(std::string_view text);

/// Whether the line ends inside a quoted cell.
bool ends_in_quotes(std::string_view line, char delimiter);

/// The text of a cell: trimmed, without its quotes, doubled quotes made single, a line break made a blank, and in UTF-8
/// (what is not UTF-8 is taken as Latin-1, as loggers write the degree sign).
std::string cell_text(std::string_view cell);

/// What is between a cell's quotes, or the whole of an unquoted one; without blanks at both ends.
std::string_view unquoted(std::string_view cell);

/// ASCII letters in lower case; all other bytes as they are.
std::string lower(std::string_view text);

}  // namespace revwright::csv
