#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace revwright::csv {

/// A time as a clock shows it.
struct ClockReading {
    std::optional<std::int64_t> day = {};  // since 1970-01-01, where the text holds a date
    double seconds = 0.0;                  // of the day, or of a stopwatch
};

/// "12:34:56.789", "00:01:02,5", "12:34:56:789" (milliseconds), "1:02.5" (minutes and seconds), "10:00:00 PM", and with
/// a date before it and a T or a blank between: "2026-03-01T10:00:00.25Z", "01.03.2026 10:00". A zone is passed over:
/// it is the same in every row. Of "01/03/2026 10:00:00" the date is passed over, because it does not tell day from
/// month. Nothing for any other text.
std::optional<ClockReading> read_clock_text(std::string_view text);

/// "2026-03-01", "1.3.2026", "03/01/2026": a date and nothing else.
bool is_date_alone(std::string_view text);

}  // namespace revwright::csv
