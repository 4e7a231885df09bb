#include "formats/csv/body.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <span>
#include <utility>

#include "core/in_order.h"
#include "formats/csv/chunks.h"
#include "formats/csv/column_fill.h"
#include "formats/csv/header_again.h"
#include "formats/csv/row_block.h"
#include "formats/csv/rows_lost.h"

namespace revwright::csv {
namespace {

constexpr std::size_t kBlocksEach = 2;       // for each worker: nobody waits long, and they stay in the caches
constexpr std::size_t kMostWithoutTime = 8;  // rows in a row that are put between their neighbours
constexpr double kEvenStep = 0.1;            // share by which the step may differ there
// Both: our choice, common practice, no source.

/// A row whose time is missing, until the next time tells whether it can be put between the two.
struct Untimed {
    std::vector<double> values;  // only as many as the row has cells
    std::vector<std::size_t> styled;
    std::size_t line = 0;
};

/// The numbers of a row, wherever they are.
struct RowNumbers {
    const double* first = nullptr;
    std::size_t stride = 1;
    std::size_t cells = 0;  // the columns behind these are blank
    const RowBlock* block = nullptr;
    std::size_t block_row = 0;  // where there is a block
    double operator[](std::size_t column) const { return first[column * stride]; }
};

class BodyReader {
public:
    BodyReader(const Dialect& dialect, const Header& header, const std::string& file, std::size_t line_feeds,
               const RowReading& reading)
        : dialect_(dialect),
          header_(header),
          file_(file),
          reading_(reading),
          rules_{{dialect.delimiter, dialect.decimal, dialect.bare_decimal, header.columns.size()},
                 HeaderAgain(dialect),
                 {}},
          rows_(rules_.rows, header.columns, file),
          most_rows_(2 * dialect.rows.size() / header.columns.size() + 2),
          rows_expected_(std::min(line_feeds + 1, most_rows_)),
          fill_(header, rows_expected_),
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
    }

    Result<Body> read() {
        const std::string_view all = dialect_.rows;
        const std::size_t last_end = all.rfind('\n');
        const std::string_view ended = all.substr(0, last_end == std::string_view::npos ? 0 : last_end + 1);
        line_ = dialect_.first_row;
        const auto all_read = reading_.one_by_one ? read_rows(ended) : read_blocks(ended);
        if (!all_read) return tl::unexpected(all_read.error());
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
    Result<bool> read_rows(std::string_view ended) {
        const char* p = ended.data();
        const char* const end = p + ended.size();
        for (; p != end; p = rows_.next(), ++line_) {
            while (p != end && rules_.header_again.at(p, end)) p = start_again(p, end);
            if (p == end) break;
            if (const auto done = read_row(p, end); !done) return done;
        }
        return true;
    }

    /// Pieces of the rows, read by many at the same time; the clocks run through them in the order of the file.
    Result<bool> read_blocks(std::string_view ended) {
        rules_.text = ended;
        Chunks chunks(ended, rules_.header_again, reading_.chunk_bytes);
        const std::vector<const char*> places = chunks.next(std::numeric_limits<std::size_t>::max());
        std::vector<RowBlock> blocks(reading_.workers.count == 1 ? 1 : kBlocksEach * reading_.workers.count);
        Result<bool> taken = true;
        const auto read = [&](std::size_t i, std::size_t slot) { blocks[slot].read(rules_, places[i], places[i + 1]); };
        const auto take = [&](std::size_t, std::size_t slot) {
            taken = take_block(blocks[slot]);
            fill_.pour(body_.stores);
            return taken.has_value();
        };
        run_in_order({.items = places.size() - 1, .slots = blocks.size(), .make_ready = read, .take = take},
                     reading_.workers);
        if (!taken) return taken;
        return read_rows(chunks.rest());
    }

    Result<bool> take_block(RowBlock& block) {
        const char* const end = rules_.text.data() + rules_.text.size();
        std::span<const RowBlock::OddCell> odd = block.odd();
        for (const RowBlock::Stretch& stretch : block.stretches()) {
            if (stretch.kind == RowBlock::Stretch::Kind::header_again) start_again(stretch.text, end);
            const char* p = stretch.text;
            if (stretch.kind == RowBlock::Stretch::Kind::other)
                for (std::size_t i = 0; i < stretch.rows; ++i, p = rows_.next(), ++line_)
                    if (const auto done = read_row(p, end); !done) return done;
            if (stretch.kind == RowBlock::Stretch::Kind::rows)
                for (std::size_t i = 0; i < stretch.rows; ++i, ++line_)
                    if (const auto done = take_row_of(block, stretch.first_row + i, odd); !done) return done;
        }
        return true;
    }

    /// odd: the odd cells of this row and of those behind it; loses the former.
    Result<bool> take_row_of(RowBlock& block, std::size_t row, std::span<const RowBlock::OddCell>& odd) {
        rows_.start_row(line_);
        for (; !odd.empty() && odd.front().row == row; odd = odd.subspan(1))
            block.set(odd.front(), rows_.odd_value(odd.front().column, odd.front().text));
        return take_row({block.column(0) + row, block.stride(), header_.columns.size(), &block, row});
    }

    /// Passes over a header, and the row of units under it, that stand in the middle of the rows.
    const char* start_again(const char* p, const char* end) {
        lost_.header_again.add(line_);
        for (Clock& clock : body_.clocks) clock.restart();
        const char* const behind = rules_.header_again.behind(p, end);
        line_ += static_cast<std::size_t>(std::count(p, behind, '\n'));
        return behind;
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
        if (*row == RowReader::Row::short_of_cells) lost_.short_of_cells.add(line_);
        return take_row({rows_.values().data(), 1, rows_.cells()});
    }

    Result<bool> take_row(const RowNumbers& row) {
        usual_cells_ = row.cells;
        bool timed = false, left_over = false;
        for (std::size_t i = 0; i < header_.groups.size() && header_.groups[i].begin < row.cells; ++i) {
            const Group& group = header_.groups[i];
            const double reading = row[group.time];
            if (std::isnan(reading)) {
                left_over = left_over || has_samples(group, row);
                continue;
            }
            timed = true;
            if (const auto done = read_timed(i, group.seconds(reading), row); !done) return done;
        }
        if (!left_over && (timed || header_.groups.size() > 1)) return true;
        if (header_.groups.size() == 1 && left_over && body_.clocks[0].rows() > 1)
            keep_untimed(row);
        else
            lost_.without_time.add(line_);
        return true;
    }

    static bool has_samples(const Group& group, const RowNumbers& row) {
        const std::size_t end = std::min(group.end, row.cells);
        for (std::size_t column = group.begin; column < end; ++column)
            if (!std::isnan(row[column])) return true;
        return false;
    }

    Result<bool> read_timed(std::size_t group, double seconds, const RowNumbers& row) {
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
        return keep(group, row);
    }

    /// Those of the rising column numbers that are of the group.
    static std::span<const std::size_t> of_group(const std::vector<std::size_t>& columns, const Group& group) {
        const auto begin = std::ranges::lower_bound(columns, group.begin);
        return {begin, std::ranges::lower_bound(columns, group.end)};
    }

    Result<bool> keep(std::size_t group, const RowNumbers& numbers) {
        Clock& clock = body_.clocks[group];
        const std::size_t row = clock.rows() - 1;
        if (row >= most_rows_)
            return refuse(fmt::format("expected rows of {} cells as in the header, found most of them shorter",
                                      header_.columns.size()),
                          Place{file_, line_});
        if (row + 1 == kRowsBeforeReserving) clock.reserve(rows_expected_);
        if (numbers.block != nullptr)
            fill_.add(group, *numbers.block, numbers.block_row, row);
        else
            keep_alone(group, row, numbers);
        return true;
    }

    /// A row that is in no block, behind those of blocks that were kept before it.
    void keep_alone(std::size_t group, std::size_t row, const RowNumbers& numbers) {
        fill_.pour(body_.stores);
        const Group& columns = header_.groups[group];
        for (std::size_t column = columns.begin; column < columns.end; ++column) {
            if (column == columns.time) continue;
            body_.stores[column].add(row, numbers[column]);
            if (row + 1 == kRowsBeforeReserving) body_.stores[column].reserve(row + 1, rows_expected_);
        }
    }

    void keep_untimed(const RowNumbers& row) {
        if (untimed_.size() == kMostWithoutTime) {  // too many: none of them, nor of those to come, can be placed
            drop_untimed();
            lost_.without_time.add(line_);
            return;
        }
        Untimed kept{{}, rows_.styled(), line_};
        for (std::size_t column = 0; column < row.cells; ++column) kept.values.push_back(row[column]);
        untimed_.push_back(std::move(kept));
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
            if (const auto done = keep(0, {rows[i].values.data()}); !done) return done;
            clock.count_filled(1, rows[i].line, rows[i].line);
        }
        return true;
    }

    const Dialect& dialect_;
    const Header& header_;
    const std::string& file_;
    const RowReading& reading_;
    BlockRules rules_;
    RowReader rows_;
    Body body_;
    RowsLost lost_;
    std::vector<Untimed> untimed_;
    std::size_t line_ = 0;
    /// A row as wide as the header takes at least one byte a column. Twice as many rows means that most are cut short.
    std::size_t most_rows_, rows_expected_;
    ColumnFill fill_;
    std::size_t usual_cells_;  // of the row before; of the header above the first row
};

}  // namespace

Result<Body> read_body(const Dialect& dialect, const Header& header, const std::string& file, std::size_t line_feeds,
                       const RowReading& reading) {
    return BodyReader(dialect, header, file, line_feeds, reading).read();
}

}  // namespace revwright::csv
