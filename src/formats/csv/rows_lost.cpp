#include "formats/csv/rows_lost.h"

#include <fmt/format.h>

namespace revwright::csv {

void RowsLost::tell(std::vector<std::string>& lost) const {
    const auto plural = [](const RowCount& count, const char* one, const char* many) {
        return count.rows == 1 ? one : many;
    };
    if (short_of_cells.rows > 0)
        lost.push_back(
            fmt::format("{} row{} fewer cells than the header, the first in line {}; the missing ones count as blank",
                        short_of_cells.rows, plural(short_of_cells, " has", "s have"), short_of_cells.first_line));
    if (without_time.rows > 0)
        lost.push_back(fmt::format("{} without a time {} left out, the first in line {}",
                                   fmt::format("{} row{}", without_time.rows, plural(without_time, "", "s")),
                                   plural(without_time, "is", "are"), without_time.first_line));
    if (header_again.rows > 0)
        lost.push_back(
            fmt::format("the header stands again in {} line{}, the first is {}: the logger was started again",
                        header_again.rows, plural(header_again, "", "s"), header_again.first_line));
}

}  // namespace revwright::csv
