#include "formats/csv/header_again.h"

#include <algorithm>

namespace revwright::csv {
namespace {

std::size_t line_feeds(std::string_view text) { return static_cast<std::size_t>(std::ranges::count(text, '\n')); }

}  // namespace

HeaderAgain::HeaderAgain(const Dialect& dialect) : header_(dialect.header.text) {
    further_lines_ = line_feeds(header_);
    if (!dialect.units) return;
    units_ = dialect.units->text;
    further_lines_ += line_feeds(units_) + 1;
}

bool HeaderAgain::stands_at(const char* p, const char* end, std::string_view line) {
    const std::string_view rest(p, static_cast<std::size_t>(end - p));
    if (!rest.starts_with(line)) return false;
    const std::string_view behind = rest.substr(line.size());
    return behind.starts_with('\n') || behind.starts_with("\r\n");
}

const char* HeaderAgain::behind_line(const char* p, const char* end, std::string_view line) {
    return std::find(p + line.size(), end, '\n') + 1;
}

const char* HeaderAgain::behind(const char* p, const char* end) const {
    p = behind_line(p, end, header_);
    if (!units_.empty() && p != end && stands_at(p, end, units_)) p = behind_line(p, end, units_);
    return p;
}

bool HeaderAgain::goes_on_at(const char* p, const char* from, const char* end) const {
    const char* start = p;
    for (std::size_t i = 0; i < further_lines_ && start != from; ++i) {
        const std::string_view before(from, static_cast<std::size_t>(start - 1 - from));
        const std::size_t feed = before.rfind('\n');
        start = feed == std::string_view::npos ? from : from + feed + 1;
        if (at(start, end) && behind(start, end) > p) return true;
    }
    return false;
}

}  // namespace revwright::csv
