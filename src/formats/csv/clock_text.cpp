#include "formats/csv/clock_text.h"

#include <chrono>
#include <cstddef>

#include "formats/csv/cells.h"

namespace revwright::csv {
namespace {

constexpr std::size_t kLongest = 48;  // bytes; longer text is prose

/// Takes what it knows off the front of a text.
class Scanner {
public:
    explicit Scanner(std::string_view text) : rest_(text) {}
    bool done() const { return rest_.empty(); }
    std::string_view rest() const { return rest_; }
    bool take(char c) {
        if (!rest_.starts_with(c)) return false;
        rest_.remove_prefix(1);
        return true;
    }
    /// Digits, at least one and at most `most`; says how many were there.
    std::size_t number(std::size_t most, int& value) {
        std::size_t count = 0;
        value = 0;
        while (count < most && count < rest_.size() && rest_[count] >= '0' && rest_[count] <= '9')
            value = value * 10 + (rest_[count++] - '0');
        rest_.remove_prefix(count);
        return count;
    }
    /// "500" after a decimal mark: 0.5.
    bool fraction(double& value) {
        double digits = 0.0, scale = 1.0;
        std::size_t count = 0;
        for (; !rest_.empty() && rest_.front() >= '0' && rest_.front() <= '9'; ++count, rest_.remove_prefix(1)) {
            if (count >= 15) continue;
            digits = digits * 10.0 + (rest_.front() - '0');
            scale *= 10.0;
        }
        value = digits / scale;
        return count > 0;
    }

private:
    std::string_view rest_;
};

struct DateRead {
    std::optional<std::int64_t> day = {};
};

/// A date at the front; nothing where there is none.
std::optional<DateRead> read_date(Scanner& scan) {
    int a = 0, b = 0, c = 0;
    const std::size_t first = scan.number(4, a);
    if (first == 0) return std::nullopt;
    char mark = 0;
    for (const char c_mark : {'-', '.', '/'})
        if (mark == 0 && scan.take(c_mark)) mark = c_mark;
    if (mark == 0 || scan.number(2, b) == 0 || !scan.take(mark)) return std::nullopt;
    const std::size_t last = scan.number(4, c);
    const bool year_first = first == 4 && (last == 1 || last == 2);
    const bool year_last = first <= 2 && (last == 4 || last == 2);
    if (!year_first && !year_last) return std::nullopt;
    if (year_last && mark != '.') return DateRead{};
    if (year_last && last == 2) c += 2000;
    const std::chrono::year_month_day date{std::chrono::year(year_first ? a : c),
                                           std::chrono::month(static_cast<unsigned>(b)),
                                           std::chrono::day(static_cast<unsigned>(year_first ? c : a))};
    if (!date.ok()) return std::nullopt;
    return DateRead{std::chrono::sys_days(date).time_since_epoch().count()};
}

/// "PM" behind a time of day: the hours to add. Nothing for any other text.
std::optional<int> half_day(std::string_view text, int hour) {
    text = trim(text);
    if (text == "AM" || text == "am") return hour == 12 ? -12 : 0;
    if (text == "PM" || text == "pm") return hour == 12 ? 0 : 12;
    return std::nullopt;
}

/// "Z", "+01:00", "+0100", "+01".
bool is_zone(std::string_view text) {
    if (text == "Z") return true;
    Scanner scan(text);
    if (!scan.take('+') && !scan.take('-')) return false;
    int hours = 0, minutes = 0;
    if (scan.number(2, hours) != 2) return false;
    if (scan.done()) return true;
    scan.take(':');
    return scan.number(2, minutes) == 2 && scan.done();
}

/// The time of day or of a stopwatch that fills the rest of the text.
std::optional<double> read_time(Scanner scan, bool dated) {
    int first = 0, second = 0, third = 0;
    double fraction = 0.0;
    if (scan.number(6, first) == 0 || !scan.take(':')) return std::nullopt;
    if (scan.number(2, second) != 2 || second > 59) return std::nullopt;
    const bool three = scan.take(':');
    if (three && (scan.number(2, third) != 2 || third > 60)) return std::nullopt;
    if (scan.take('.') || scan.take(',')) {
        if (!scan.fraction(fraction)) return std::nullopt;
    } else if (three && scan.take(':')) {
        int milliseconds = 0;
        if (scan.number(3, milliseconds) != 3) return std::nullopt;
        fraction = milliseconds / 1000.0;
    }
    int hours = three || dated ? first : 0;
    if (!scan.done()) {
        const auto half = half_day(scan.rest(), hours);
        if (!half && !is_zone(scan.rest())) return std::nullopt;
        hours += half.value_or(0);
    }
    const int minutes = three || dated ? second : first;
    const int seconds = three ? third : dated ? 0 : second;
    return hours * 3600.0 + minutes * 60.0 + (seconds + fraction);
}

}  // namespace

std::optional<ClockReading> read_clock_text(std::string_view text) {
    text = trim(text);
    if (text.size() > kLongest || !text.contains(':')) return std::nullopt;
    Scanner scan(text);
    if (const auto plain = read_time(scan, false)) return ClockReading{{}, *plain};
    const auto date = read_date(scan);
    if (!date || (!scan.take('T') && !scan.take(' '))) return std::nullopt;
    scan.take(' ');
    const auto time = read_time(scan, true);
    if (!time) return std::nullopt;
    return ClockReading{date->day, *time};
}

bool is_date_alone(std::string_view text) {
    text = trim(text);
    if (text.size() > kLongest) return false;
    Scanner scan(text);
    return read_date(scan) && scan.done();
}

}  // namespace revwright::csv
