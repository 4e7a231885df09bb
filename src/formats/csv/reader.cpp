#include "formats/csv/reader.h"

#include <algorithm>

#include "formats/csv/body.h"
#include "formats/csv/builder.h"
#include "formats/csv/dialect.h"
#include "formats/csv/header.h"
#include "formats/csv/survey.h"
#include "formats/csv/utf16.h"

namespace revwright::csv {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

/// The text in UTF-8 or Latin-1, without a byte order mark; `room` holds what had to be turned into that.
Result<std::string_view> plain_text(std::string_view bytes, std::string& room, const std::string& file) {
    if (const auto order = utf16_order(bytes)) {
        auto text = utf8_of_utf16(bytes, *order, file);
        if (!text) return tl::unexpected(text.error());
        room = *std::move(text);
        bytes = room;
    }
    if (bytes.starts_with(kByteOrderMark)) bytes.remove_prefix(kByteOrderMark.size());
    if (bytes.empty()) return refuse("expected a log, found an empty file", Place{file});
    return bytes;
}

Result<Log> read_with(std::string_view bytes, const std::string& file, const RowReading& reading) {
    std::string room;
    const auto text = plain_text(bytes, room, file);
    if (!text) return tl::unexpected(text.error());
    const Survey found = survey(*text, reading.workers);
    if (found.has_zero)
        return refuse("expected text, found a zero byte as in a binary file", Place{file, 0, 0, text->find('\0')});
    const auto dialect = detect(*text, file, reading.workers);
    if (!dialect) return tl::unexpected(dialect.error());
    auto header = read_header(*dialect, file, reading.workers);
    if (!header) return tl::unexpected(header.error());
    const std::string_view above = text->substr(0, text->size() - dialect->rows.size());
    const std::size_t line_feeds = found.line_feeds - static_cast<std::size_t>(std::ranges::count(above, '\n'));
    auto body = read_body(*dialect, *header, file, line_feeds, reading);
    if (!body) return tl::unexpected(body.error());
    Log log = build_log(std::move(*header), std::move(*body), file);
    if (log.channels.empty())
        return refuse("expected a number in at least one channel, found none", Place{file, dialect->header.number});
    return log;
}

}  // namespace

Result<Log> read(std::string_view bytes, const std::string& file, const Workers& workers) {
    return read_with(bytes, file, {.workers = workers});
}

Result<Log> read_simply(std::string_view bytes, const std::string& file) {
    return read_with(bytes, file, {.one_by_one = true});
}

Result<Log> read_in_pieces(std::string_view bytes, const std::string& file, std::size_t piece_bytes,
                           const Workers& workers) {
    return read_with(bytes, file, {.chunk_bytes = piece_bytes, .workers = workers});
}

}  // namespace revwright::csv
