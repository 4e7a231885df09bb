#include "formats/csv/clock.h"

#include <fmt/format.h>

namespace revwright::csv {
namespace {

std::string rows_left_out(std::size_t rows, std::size_t first_line, std::size_t last_line) {
    if (rows == 1) return fmt::format("1 row in line {} is left out", first_line);
    return fmt::format("{} rows between line {} and line {} are left out", rows, first_line, last_line);
}

}  // namespace

void Clock::Fault::count(double clock, double found, std::size_t line) {
    if (rows++ == 0) start_s = clock, first_line = line, first_found = found;
    end_s = clock;
    last_line = line;
}

bool Clock::advance(double seconds, std::size_t line) {
    if (!seconds_.empty() && seconds == seconds_.back()) {
        repeated_.count(seconds_.back(), seconds, line);
        return false;
    }
    if (!seconds_.empty() && seconds < seconds_.back()) {
        reversed_.count(seconds_.back(), seconds, line);
        return false;
    }
    seconds_.push_back(seconds);
    return true;
}

std::vector<QualityNote> Clock::notes() const {
    std::vector<QualityNote> notes;
    if (repeated_.rows > 0)
        notes.push_back({"time-repeated", repeated_.start_s, repeated_.end_s,
                         fmt::format("the time {} s is repeated; {}", repeated_.first_found,
                                     rows_left_out(repeated_.rows, repeated_.first_line, repeated_.last_line))});
    if (reversed_.rows > 0)
        notes.push_back(
            {"time-reversed", reversed_.start_s, reversed_.end_s,
             fmt::format("the time runs back from {} s to {} s; {}", reversed_.start_s, reversed_.first_found,
                         rows_left_out(reversed_.rows, reversed_.first_line, reversed_.last_line))});
    return notes;
}

}  // namespace revwright::csv
