#pragma once

#include <cstddef>
#include <string_view>

#include "formats/csv/dialect.h"

namespace revwright::csv {

/// The header, and the row of units under it, where they stand again in the middle of the rows.
class HeaderAgain {
public:
    explicit HeaderAgain(const Dialect& dialect);

    /// Whether the header stands at p, the start of a line before `end`.
    bool at(const char* p, const char* end) const { return *p == header_.front() && stands_at(p, end, header_); }
    /// What is behind it and its units. Precondition: at(p, end).
    const char* behind(const char* p, const char* end) const;

    /// Whether a header that starts in a line behind `from` goes on at p, the start of a line. A header of one line
    /// without units never does.
    bool goes_on_at(const char* p, const char* from, const char* end) const;

private:
    static bool stands_at(const char* p, const char* end, std::string_view line);
    static const char* behind_line(const char* p, const char* end, std::string_view line);

    std::string_view header_, units_;
    std::size_t further_lines_ = 0;  // that header and units take behind the first
};

}  // namespace revwright::csv
