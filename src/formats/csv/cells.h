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
    /// first_number: what the first line is called.
    explicit Lines(std::string_view bytes, std::size_t first_number = 1) : rest_(bytes), number_(first_number) {}
    bool next(Line& line);
    /// What has not been read yet.
    std::string_view rest() const { return rest_; }

private:
    std::string_view rest_;
    std::size_t number_;
};

/// The cells of a line, still quoted. A delimiter between quotes does not split; a quote that never closes takes the
/// rest of the line.
std::vector<std::string_view> split(std::string_view line, char delimiter);

/// How many bytes at the start of `text` the quoted field takes, both quotes included; 0 if it never closes.
/// `text` starts with a quote.
std::size_t quoted_length(std::string_view text);

/// Whether the line ends inside a quoted cell.
bool ends_in_quotes(std::string_view line, char delimiter);

/// The text of a cell: trimmed, without its quotes, doubled quotes made single, and in UTF-8 (what is not UTF-8 is
/// taken as Latin-1, as loggers write the degree sign).
std::string cell_text(std::string_view cell);

}  // namespace revwright::csv
