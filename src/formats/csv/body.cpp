#include "formats/csv/body.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <span>
#include <utility>

#include "formats/csv/rows_lost.h"

namespace revwright::csv {
namespace {

constexpr std::size_t kRowsBeforeReserving = 1024;
constexpr std::size_t kMostWithoutTime = 8;  // rows in a row that are put between their neighbours
constexpr double kEvenStep = 0.1;            // share by which the step may differ there
// Both: our choice, common practice, no source.

/// A row whose time is missing, until the next time tells whether it can be put between the two.
struct Untimed {
    std::vector<double> values;  // only as many as the row has cells
    std::vector<std::size_t> styled;
    std::size_t line = 0;
};

class BodyReader {
public:
    BodyReader(const Dialect& dialect, const Header& header, const std::string& file)
        : dialect_(dialect),
          header_(header),
          file_(file),
          rows_(dialect, header.columns, file),
          usual_cells_(header.columns.size()) {
        body_.stores.resize(header.columns.size());
        body_.styled.resize(header.columns.size());
        for (const Group& group : header.groups) {
            const Column& time = header.columns[group.time];
            const bool of_day = time.style.kind == CellStyle::Kind::clock;
            body_.clocks.emplace_back(time.name, group.coarse ? Clock::Kind::coarse
                                                 : of_day     ? Clock::Kind::of_day
                                                              : Clock::Kind::plain);
        }
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
        drop_untimed();
        if (std::ranges::all_of(body_.clocks, [](const Clock& clock) { return clock.rows() == 0; }))
            return refuse(fmt::format("expected rows with a number in the time column {}, found none",
                                      body_.clocks.front().name()),
                          Place{file_, dialect_.header.number});
        for (Clock& clock : body_.clocks)
            if (!clock.finish())
                return refuse(
                    fmt::format("expected a time column that tells its rows apart, found that {} stands still",
                                clock.name()),
                    Place{file_, dialect_.header.number});
        body_.odd = rows_.odd();
        lost_.tell(body_.lost);
        return std::move(body_);
    }

private:
    /// A row as wide as the header takes at least one byte a column. Twice as many rows means that most are cut short.
    std::size_t most_rows() const { return 2 * dialect_.rows.size() / header_.columns.size() + 2; }

    Result<bool> read_rows(std::string_view ended) {
        const char* p = ended.data();
        const char* const end = p + ended.size();
        for (; p != end; p = rows_.next(), ++line_) {
            while (p != end && *p == dialect_.header.text.front() && stands_at(p, end, dialect_.header))
                p = start_again(p, end);
            if (p == end) break;
            if (const auto done = read_row(p, end); !done) return done;
        }
        return true;
    }

    static bool stands_at(const char* p, const char* end, const Line& line) {
        const std::string_view rest(p, static_cast<std::size_t>(end - p));
        if (!rest.starts_with(line.text)) return false;
        const std::string_view behind = rest.substr(line.text.size());
        return behind.starts_with('\n') || behind.starts_with("\r\n");
    }

    /// Passes over a header, and the row of units under it, that stand in the middle of the rows.
    const char* start_again(const char* p, const char* end) {
        lost_.header_again.add(line_);
        for (Clock& clock : body_.clocks) clock.restart();
        p = behind_line(p, end, dialect_.header);
        if (dialect_.units && p != end && stands_at(p, end, *dialect_.units)) p = behind_line(p, end, *dialect_.units);
        return p;
    }

    const char* behind_line(const char* p, const char* end, const Line& line) {
        line_ += static_cast<std::size_t>(std::ranges::count(line.text, '\n')) + 1;
        return std::find(p + line.text.size(), end, '\n') + 1;
    }

    /// A last line without a line end is whole if it has as many cells as the rows before it.
    Result<bool> read_last(std::string_view text) {
        if (text.empty()) return true;
        if (text.size() > kLongestLine)
            return refuse(fmt::format("expected lines of at most {} bytes, found one of {}", kLongestLine, text.size()),
                          Place{file_, line_});
        const std::size_t cells = count_cells(text, dialect_.delimiter);
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
        if (*row == RowReader::Row::short_of_cells) lost_.short_of_cells.add(line_);
        bool timed = false, left_over = false;
        for (std::size_t i = 0; i < header_.groups.size() && header_.groups[i].begin < rows_.cells(); ++i) {
            const Group& group = header_.groups[i];
            const double reading = rows_.values()[group.time];
            if (std::isnan(reading)) {
                left_over = left_over || has_samples(group);
                continue;
            }
            timed = true;
            if (const auto done = read_timed(i, group.seconds(reading)); !done) return done;
        }
        if (!left_over && (timed || header_.groups.size() > 1)) return true;
        if (header_.groups.size() == 1 && left_over && body_.clocks[0].rows() > 1)
            keep_untimed();
        else
            lost_.without_time.add(line_);
        return true;
    }

    bool has_samples(const Group& group) const {
        const std::size_t end = std::min(group.end, rows_.cells());
        for (std::size_t column = group.begin; column < end; ++column)
            if (!std::isnan(rows_.values()[column])) return true;
        return false;
    }

    Result<bool> read_timed(std::size_t group, double seconds) {
        if (!std::isfinite(seconds))
            return refuse("expected a finite time in seconds, found none", Place{file_, line_});
        if (!untimed_.empty())
            if (const auto done = settle_untimed(seconds); !done) return done;
        if (!body_.clocks[group].advance(seconds, line_)) return true;
        const Group& columns = header_.groups[group];
        for (const std::size_t column : of_group(rows_.styled(), columns)) ++body_.styled[column];
        for (const std::size_t column : of_group(rows_.infinite(), columns)) {
            const double now = body_.clocks[group].seconds().back();
            body_.infinite.try_emplace(column, Body::Span{now, now}).first->second.end_s = now;
        }
        return keep(group, rows_.values());
    }

    /// Those of the rising column numbers that are of the group.
    static std::span<const std::size_t> of_group(const std::vector<std::size_t>& columns, const Group& group) {
        const auto begin = std::ranges::lower_bound(columns, group.begin);
        return {begin, std::ranges::lower_bound(columns, group.end)};
    }

    Result<bool> keep(std::size_t group, const std::vector<double>& values) {
        Clock& clock = body_.clocks[group];
        const std::size_t row = clock.rows() - 1;
        if (row >= most_rows())
            return refuse(fmt::format("expected rows of {} cells as in the header, found most of them shorter",
                                      header_.columns.size()),
                          Place{file_, line_});
        const std::size_t time = header_.groups[group].time;
        const std::size_t begin = header_.groups[group].begin, end = header_.groups[group].end;
        for (std::size_t column = begin; column < end; ++column)
            if (column != time) body_.stores[column].add(row, values[column]);
        if (row + 1 == kRowsBeforeReserving) {
            clock.reserve(rows_expected_);
            for (std::size_t column = begin; column < end; ++column)
                body_.stores[column].reserve(row + 1, rows_expected_);
        }
        return true;
    }

    void keep_untimed() {
        if (untimed_.size() == kMostWithoutTime) {  // too many: none of them, nor of those to come, can be placed
            drop_untimed();
            lost_.without_time.add(line_);
            return;
        }
        const auto& values = rows_.values();
        untimed_.push_back(
            {{values.begin(), values.begin() + static_cast<std::ptrdiff_t>(rows_.cells())}, rows_.styled(), line_});
    }

    void drop_untimed() {
        for (const Untimed& row : untimed_) lost_.without_time.add(row.line);
        untimed_.clear();
    }

    /// Rows without a time between two with one are put evenly between them where the clock runs evenly there.
    Result<bool> settle_untimed(double seconds) {
        Clock& clock = body_.clocks[0];
        const std::vector<double>& so_far = clock.seconds();
        const double before = so_far.back(), usual = before - so_far[so_far.size() - 2];
        const double step = (seconds + clock.shift() - before) / static_cast<double>(untimed_.size() + 1);
        if (header_.groups[0].coarse || !(std::abs(step - usual) <= kEvenStep * usual)) {
            drop_untimed();
            return true;
        }
        const std::size_t count = untimed_.size();
        std::vector<Untimed> rows = std::exchange(untimed_, {});
        for (std::size_t i = 0; i < count; ++i) {
            if (!clock.advance(before + static_cast<double>(i + 1) * step - clock.shift(), rows[i].line)) continue;
            for (const std::size_t column : rows[i].styled) ++body_.styled[column];
            rows[i].values.resize(header_.columns.size(), std::numeric_limits<double>::quiet_NaN());
            if (const auto done = keep(0, rows[i].values); !done) return done;
            clock.count_filled(1, rows[i].line, rows[i].line);
        }
        return true;
    }

    const Dialect& dialect_;
    const Header& header_;
    const std::string& file_;
    RowReader rows_;
    Body body_;
    RowsLost lost_;
    std::vector<Untimed> untimed_;
    std::size_t line_ = 0, rows_expected_ = 0;
    std::size_t usual_cells_;  // of the row before; of the header above the first row
};

}  // namespace

Result<Body> read_body(const Dialect& dialect, const Header& header, const std::string& file) {
    return BodyReader(dialect, header, file).read();
}

}  // namespace revwright::csv
