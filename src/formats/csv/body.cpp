#include "formats/csv/body.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace revwright::csv {
namespace {

constexpr std::size_t kRowsBeforeReserving = 1024;

/// Rows of one kind: how many, and where the first is.
struct RowCount {
    std::size_t rows = 0, first_line = 0;
    void add(std::size_t line) {
        if (rows++ == 0) first_line = line;
    }
};

class BodyReader {
public:
    BodyReader(const Dialect& dialect, const Header& header, const std::string& file)
        : dialect_(dialect),
          header_(header),
          file_(file),
          rows_(dialect, header.columns.size(), file),
          usual_cells_(header.columns.size()) {
        body_.stores.resize(header.columns.size());
        const auto lines = static_cast<std::size_t>(std::ranges::count(dialect.rows, '\n')) + 1;
        rows_expected_ = std::min(lines, most_rows());
    }

    Result<Body> read() {
        const std::string_view all = dialect_.rows;
        const std::size_t last_end = all.rfind('\n');
        const std::string_view ended = all.substr(0, last_end == std::string_view::npos ? 0 : last_end + 1);
        line_ = dialect_.first_row;
        if (const auto done = read_rows(ended); !done) return tl::unexpected(done.error());
        if (const auto done = read_last(all.substr(ended.size())); !done) return tl::unexpected(done.error());
        if (body_.clock.rows() == 0)
            return refuse(fmt::format("expected rows with a number in the time column {}, found none",
                                      header_.columns[header_.time].name),
                          Place{file_, dialect_.header.number});
        body_.text = rows_.text();
        tell_losses();
        return std::move(body_);
    }

private:
    /// A row as wide as the header takes at least one byte a column. Twice as many rows means that most are cut short.
    std::size_t most_rows() const { return 2 * dialect_.rows.size() / header_.columns.size() + 2; }

    Result<bool> read_rows(std::string_view ended) {
        const char* p = ended.data();
        const char* const end = p + ended.size();
        for (; p != end; p = rows_.next(), ++line_)
            if (const auto done = read_row(p, end); !done) return done;
        return true;
    }

    /// A last line without a line end is whole if it has as many cells as the rows before it.
    Result<bool> read_last(std::string_view text) {
        if (text.empty()) return true;
        const std::size_t cells = split(text, dialect_.delimiter).size();
        if (cells < usual_cells_ || ends_in_quotes(text, dialect_.delimiter)) {
            body_.lost.push_back(fmt::format("the last line, {}, is cut short after {} of {} cells and is left out",
                                             line_, cells, header_.columns.size()));
            return true;
        }
        const std::string with_end = std::string(text) + '\n';
        return read_row(with_end.data(), with_end.data() + with_end.size());
    }

    Result<bool> read_row(const char* p, const char* end) {
        const auto row = rows_.read(p, end, line_);
        if (!row) return tl::unexpected(row.error());
        if (*row == RowReader::Row::blank) return true;
        usual_cells_ = rows_.cells();
        if (*row == RowReader::Row::short_of_cells) short_.add(line_);
        const double reading = rows_.values()[header_.time];
        if (std::isnan(reading)) {
            no_time_.add(line_);
            return true;
        }
        const double seconds = header_.seconds(reading);
        if (!std::isfinite(seconds))
            return refuse("expected a finite time in seconds, found none", Place{file_, line_});
        if (body_.clock.advance(seconds, line_)) return keep();
        return true;
    }

    Result<bool> keep() {
        const std::size_t row = body_.clock.rows() - 1;
        if (row >= most_rows())
            return refuse(fmt::format("expected rows of {} cells as in the header, found most of them shorter",
                                      header_.columns.size()),
                          Place{file_, line_});
        const std::vector<double>& values = rows_.values();
        for (std::size_t column = 0; column < values.size(); ++column)
            if (column != header_.time) body_.stores[column].add(row, values[column]);
        if (row + 1 == kRowsBeforeReserving) {
            body_.clock.reserve(rows_expected_);
            for (SampleStore& store : body_.stores) store.reserve(row + 1, rows_expected_);
        }
        return true;
    }

    void tell_losses() {
        if (short_.rows > 0)
            body_.lost.push_back(
                fmt::format("{} row{} fewer cells than the header, the first in line {}; the missing "
                            "ones count as blank",
                            short_.rows, short_.rows == 1 ? " has" : "s have", short_.first_line));
        if (no_time_.rows > 0)
            body_.lost.push_back(fmt::format("{} row{} without a time {} left out, the first in line {}", no_time_.rows,
                                             no_time_.rows == 1 ? "" : "s", no_time_.rows == 1 ? "is" : "are",
                                             no_time_.first_line));
    }

    const Dialect& dialect_;
    const Header& header_;
    const std::string& file_;
    RowReader rows_;
    Body body_;
    RowCount short_, no_time_;
    std::size_t line_ = 0, rows_expected_ = 0;
    std::size_t usual_cells_;  // of the row before; of the header above the first row
};

}  // namespace

Result<Body> read_body(const Dialect& dialect, const Header& header, const std::string& file) {
    return BodyReader(dialect, header, file).read();
}

}  // namespace revwright::csv
