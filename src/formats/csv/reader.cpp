#include "formats/csv/reader.h"

#include <fmt/format.h>
#include <optional>

#include "formats/csv/body.h"
#include "formats/csv/dialect.h"
#include "formats/csv/header.h"

namespace revwright::csv {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

std::optional<Error> why_no_text(std::string_view bytes, const std::string& file) {
    if (bytes.empty()) return Error{Fault::bad_input, "expected a log, found an empty file", Place{file}};
    if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF"))
        return Error{Fault::bad_input, "expected text in UTF-8 or Latin-1, found UTF-16", Place{file, 0, 0, 0}};
    const std::size_t zero = bytes.find('\0');
    if (zero != std::string_view::npos)
        return Error{Fault::bad_input, "expected text, found a zero byte as in a binary file", Place{file, 0, 0, zero}};
    return std::nullopt;
}

/// Turns the columns of the body into channels, each on its time base.
class LogBuilder {
public:
    LogBuilder(Header header, Body body, const std::string& file) : header_(std::move(header)), body_(std::move(body)) {
        log_.file = file;
        log_.format = "csv";
        log_.quality = body_.clock.notes();
        log_.lost = std::move(body_.lost);
    }

    Log build() {
        const std::size_t rows = body_.clock.rows();
        log_.time_bases.push_back({});
        for (std::size_t i = 0; i < header_.columns.size(); ++i) {
            if (i == header_.time) continue;
            tell_text(i);
            if (body_.stores[i].count() == 0) continue;
            const bool slow = 2 * body_.stores[i].count() < rows;
            const std::size_t base = slow ? slow_base(i) : 0;
            Column& column = header_.columns[i];
            log_.channels.push_back(
                {.name = std::move(column.name),
                 .unit_in_log = column.unit,
                 .key = {},
                 .unit = column.unit,
                 .time_base = base,
                 .values = slow ? body_.stores[i].take_samples() : body_.stores[i].take_dense(rows)});
        }
        log_.time_bases.front().seconds = body_.clock.take();
        return std::move(log_);
    }

private:
    void tell_text(std::size_t i) {
        const std::string& name = header_.columns[i].name;
        const TextCells& text = body_.text[i];
        if (body_.stores[i].count() == 0)
            log_.lost.push_back(fmt::format("channel {} is left out: it holds no number", name));
        else if (text.count > 0)
            log_.lost.push_back(
                fmt::format("channel {}: {} cell{} no number, the first \"{}\" in line {}; no sample there", name,
                            text.count, text.count == 1 ? " holds" : "s hold", text.first, text.first_line));
    }

    /// The time base of a channel that is blank in most rows, shared by channels sampled in the same rows.
    std::size_t slow_base(std::size_t i) {
        for (const SlowBase& known : slow_)
            if (body_.stores[known.column].same_rows(body_.stores[i])) return known.base;
        TimeBase base;
        base.seconds.reserve(body_.stores[i].count());
        for (std::size_t row = 0; row < body_.clock.rows(); ++row)
            if (!body_.stores[i].is_blank(row)) base.seconds.push_back(body_.clock.seconds()[row]);
        slow_.push_back({i, log_.time_bases.size()});
        log_.time_bases.push_back(std::move(base));
        return slow_.back().base;
    }

    struct SlowBase {
        std::size_t column, base;
    };
    Header header_;
    Body body_;
    Log log_;
    std::vector<SlowBase> slow_;
};

}  // namespace

Result<Log> read(std::string_view bytes, const std::string& file) {
    if (auto error = why_no_text(bytes, file)) return tl::unexpected(std::move(*error));
    if (bytes.starts_with(kByteOrderMark)) bytes.remove_prefix(kByteOrderMark.size());
    const auto dialect = detect(bytes, file);
    if (!dialect) return tl::unexpected(dialect.error());
    auto header = read_header(*dialect, file);
    if (!header) return tl::unexpected(header.error());
    auto body = read_body(*dialect, *header, file);
    if (!body) return tl::unexpected(body.error());
    Log log = LogBuilder(std::move(*header), std::move(*body), file).build();
    if (log.channels.empty())
        return refuse("expected a number in at least one channel, found none", Place{file, dialect->header.number});
    return log;
}

}  // namespace revwright::csv
