#include "formats/csv/row_block.h"

#include <algorithm>

namespace revwright::csv {
namespace {

// Looked through at once for the ends of cells; what is found stays in the nearest cache. A longer row is read cell by
// cell.
constexpr std::size_t kWindow = std::size_t{1} << 15;

// A number of at most eight bytes is read with the eight bytes before its end.
constexpr std::ptrdiff_t kBytesBefore = 8;

}  // namespace

/// A whole row has at least one byte for each column; a longer last one does not count.
void RowBlock::make_room(std::size_t bytes, std::size_t columns) {
    room_ = bytes / columns + 1;
    if (room_ % 64 == 0) room_ += 8;  // columns a power of two apart would push each other out of the cache
    if (held_ >= room_ * columns) return;
    held_ = room_ * columns;
    values_ = std::make_unique_for_overwrite<double[]>(held_);
}

void RowBlock::read(const BlockRules& rules, const char* begin, const char* end) {
    rows_ = 0;
    stretches_.clear();
    odd_.clear();
    const std::string_view all(begin, static_cast<std::size_t>(end - begin));
    const std::size_t before_last = all.empty() ? 0 : all.substr(0, all.size() - 1).rfind('\n') + 1;
    make_room(before_last, rules.rows.columns);
    for (const char* p = begin; p < end;) {
        const std::size_t bytes = std::min(kWindow, static_cast<std::size_t>(end - p));
        ends_.find({p, bytes}, rules.rows.delimiter);
        p = ends_.lines().empty() ? read_line(rules, p) : read_lines(rules, p);
    }
}

/// The lines of the window. Returns where the next begins.
const char* RowBlock::read_lines(const BlockRules& rules, const char* begin) {
    const PlainRow plain(rules.rows.bare_decimal);
    const char* const end = rules.text.data() + rules.text.size();
    const auto cells = ends_.cells();
    const char* line = begin;
    std::size_t first = 0;
    for (const std::uint32_t last : ends_.lines()) {
        const char* const next = begin + cells[last] + 1;
        const std::size_t count = last + 1 - first;
        if (line < next) {  // else the header that stands again has taken it
            const bool may_be_plain = count == rules.rows.columns && rows_ < room_ &&
                                      line - rules.text.data() >= kBytesBefore && !rules.header_again.at(line, end);
            if (may_be_plain && plain.read(line, begin, cells.subspan(first, count), values_.get() + rows_, room_)) {
                add(Stretch::Kind::rows, line);
                line = next;
            } else {
                line = read_line(rules, line);
            }
        }
        first = last + 1;
    }
    return line;
}

/// Any line. Returns where the next begins.
const char* RowBlock::read_line(const BlockRules& rules, const char* line) {
    const char* const end = rules.text.data() + rules.text.size();
    if (rules.header_again.at(line, end)) {
        add(Stretch::Kind::header_again, line);
        return rules.header_again.behind(line, end);
    }
    add(rows_ < room_ && read_whole(rules, line) ? Stretch::Kind::rows : Stretch::Kind::other, line);
    return std::find(line, end, '\n') + 1;
}

/// Whether the line is a row that has all its cells. Numbers in quotes or among blanks are read here as well.
bool RowBlock::read_whole(const BlockRules& rules, const char* line) {
    const std::size_t odd_before = odd_.size();
    const auto put = [this](std::size_t column, double value) { values_[column * room_ + rows_] = value; };
    const auto odd = [this](std::size_t column, const OddText& text) {
        if (const auto number = whole_number(text.inside, text.decimal)) return *number;
        odd_.push_back({static_cast<std::uint32_t>(rows_), static_cast<std::uint32_t>(column), text});
        return std::numeric_limits<double>::quiet_NaN();
    };
    RowSplitter splitter(rules.rows, line, rules.text.data() + rules.text.size(), put, odd);
    if (splitter.split().kind == RowSplit::Kind::whole) return true;
    odd_.resize(odd_before);
    return false;
}

void RowBlock::add(Stretch::Kind kind, const char* line) {
    const bool goes_on = !stretches_.empty() && stretches_.back().kind == kind && kind != Stretch::Kind::header_again;
    if (!goes_on) stretches_.push_back({kind, 0, rows_, line});
    ++stretches_.back().rows;
    if (kind == Stretch::Kind::rows) ++rows_;
}

}  // namespace revwright::csv
