#include "formats/compressor_map/reader.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>

#include "formats/compressor_map/columns.h"

namespace revwright::compressor_csv {
namespace {

constexpr double kSameLine = 0.01;          // of shaft speed
constexpr std::size_t kMostRows = 100'000;  // a map has hundreds
constexpr std::size_t kMostShown = 40;      // of a cell, in a message

/// Our own plausibility ranges, no source: wide enough for any road car, narrow enough for a wrong unit.
struct Allowed {
    std::string_view what, unit;
    double low, high;
};
constexpr Allowed kAllowed[kQuantities] = {
    {"a shaft speed", " rpm", 1'000.0, 1'000'000.0},
    {"a flow", " kg/s", 1e-4, 10.0},
    {"a pressure ratio", "", 0.5, 10.0},
    {"an efficiency", "", 0.01, 1.0},
};

struct Row {
    double speed = 0.0;
    CompressorMapPoint point;
    std::size_t line = 0;
};

Result<double> number_in(const Cell& cell, char delimiter, const Place& at) {
    std::string text(cell.text);
    if (delimiter != ',') std::ranges::replace(text, ',', '.');
    double value = 0.0;
    const char* end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, value);
    if (text.empty() || error != std::errc{} || stop != end || !std::isfinite(value))
        return refuse(fmt::format("expected a number, found '{}'", cell.text.substr(0, kMostShown)), at);
    return value;
}

Result<double> value_in(const std::vector<Cell>& cells, const Column& column, std::size_t which, char delimiter,
                        const Place& line) {
    const Allowed& allowed = kAllowed[which];
    if (column.at >= cells.size())
        return refuse(fmt::format("expected {} in cell {}, found {} cells", allowed.what, column.at + 1, cells.size()),
                      line);
    const Place at{line.file, line.line, cells[column.at].start};
    const auto number = number_in(cells[column.at], delimiter, at);
    if (!number) return number;
    const double value = *number * column.factor;
    if (!(value >= allowed.low && value <= allowed.high))
        return refuse(fmt::format("expected {} from {:g} to {:g}{}, found {:g}", allowed.what, allowed.low,
                                  allowed.high, allowed.unit, value),
                      at);
    return value;
}

Result<Row> read_row(std::string_view text, const Columns& columns, char delimiter, const Place& line) {
    const std::vector<Cell> cells = cut(text, delimiter);
    std::array<double, kQuantities> values{};
    for (std::size_t which = 0; which < kQuantities; ++which) {
        const auto value = value_in(cells, columns[which], which, delimiter, line);
        if (!value) return tl::unexpected(value.error());
        values[which] = *value;
    }
    return Row{values[0], {values[1], values[2], values[3]}, line.line};
}

/// Rows of nearly one speed are one line; its speed is their mean.
Result<std::vector<CompressorSpeedLine>> lines_of(std::vector<Row> rows, const std::string& file) {
    std::ranges::stable_sort(rows, {}, &Row::speed);
    std::vector<CompressorSpeedLine> lines;
    for (std::size_t first = 0; first < rows.size();) {
        std::size_t end = first;
        double sum = 0.0;
        while (end < rows.size() && rows[end].speed <= rows[first].speed * (1.0 + kSameLine)) sum += rows[end++].speed;
        const auto begin = rows.begin() + static_cast<std::ptrdiff_t>(first);
        const auto stop = rows.begin() + static_cast<std::ptrdiff_t>(end);
        std::stable_sort(begin, stop, [](const Row& a, const Row& b) { return a.point.flow_kg_s < b.point.flow_kg_s; });
        CompressorSpeedLine line;
        // A line of one speed keeps it to the last bit.
        line.speed_rpm = begin->speed == (stop - 1)->speed ? begin->speed : sum / static_cast<double>(end - first);
        for (auto row = begin; row != stop; ++row) {
            if (row != begin && row->point.flow_kg_s == (row - 1)->point.flow_kg_s)
                return refuse(fmt::format("the flow {:g} kg/s stands twice on the speed line at {:.0f} rpm, first in "
                                          "line {}",
                                          row->point.flow_kg_s, line.speed_rpm, (row - 1)->line),
                              Place{file, row->line});
            line.points.push_back(row->point);
        }
        lines.push_back(std::move(line));
        first = end;
    }
    return lines;
}

class Reader {
public:
    explicit Reader(const std::string& file) : file_(file) {}

    Result<CompressorMap> read(std::string_view bytes) {
        if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
        std::size_t number = 0;
        while (!bytes.empty()) {
            const std::size_t end = bytes.find('\n');
            std::string_view line = bytes.substr(0, end);
            bytes.remove_prefix(end == std::string_view::npos ? bytes.size() : end + 1);
            while (line.ends_with('\r')) line.remove_suffix(1);
            if (auto taken = take(line, Place{file_, ++number}); !taken) return tl::unexpected(taken.error());
        }
        if (!columns_)
            return refuse("expected a header with rpm, kg_s, pressure_ratio and efficiency, found no text",
                          Place{file_, 1});
        auto lines = lines_of(std::move(rows_), file_);
        if (!lines) return tl::unexpected(lines.error());
        auto map = CompressorMap::make(std::move(*lines));
        if (!map) return refuse(map.error().what, Place{file_});
        return map;
    }

private:
    Result<void> take(std::string_view line, const Place& at) {
        const auto text = line.find_first_not_of(" \t,;\"");
        if (text == std::string_view::npos || line[text] == '#') return {};
        if (!columns_) {
            delimiter_ = delimiter_of(line);
            auto columns = find_columns(cut(line, delimiter_), at);
            if (!columns) return tl::unexpected(columns.error());
            columns_ = *columns;
            return {};
        }
        if (rows_.size() == kMostRows)
            return refuse(fmt::format("expected at most {} points in a compressor map", kMostRows), at);
        auto row = read_row(line, *columns_, delimiter_, at);
        if (!row) return tl::unexpected(row.error());
        rows_.push_back(*row);
        return {};
    }

    const std::string& file_;
    std::optional<Columns> columns_;
    char delimiter_ = ',';
    std::vector<Row> rows_;
};

}  // namespace

Result<CompressorMap> read(std::string_view bytes, const std::string& file) { return Reader(file).read(bytes); }

}  // namespace revwright::compressor_csv
