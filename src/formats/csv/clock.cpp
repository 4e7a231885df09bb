#include "formats/csv/clock.h"

#include <algorithm>
#include <fmt/format.h>
#include <functional>

namespace revwright::csv {
namespace {

constexpr double kDay = 86400.0;
// Our choice, common practice, no source: long enough that no pull and no filter runs across two recordings.
constexpr double kBetweenRecordings = 10.0;

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

bool Clock::stands_or_falls(double reading, std::size_t line) {
    const double seconds = reading + shift_;
    const double last = seconds_.back();
    if (seconds_.size() == restart_row_) {
        shift_ = last + kBetweenRecordings - reading;
        restarts_.count(last, reading, line);
        return advance(reading, line);
    }
    if (kind_ == Kind::of_day && last - seconds > kDay / 2.0 && last - seconds <= kDay) {
        shift_ += kDay;
        return advance(reading, line);
    }
    if (seconds == last && kind_ == Kind::coarse) {
        ++stood_rows_;
        seconds_.push_back(seconds);
        return true;
    }
    (seconds == last ? repeated_ : reversed_).count(last, seconds, line);
    return false;
}

void Clock::count_filled(std::size_t rows, std::size_t first_line, std::size_t last_line) {
    if (filled_.rows == 0) filled_.start_s = seconds_.back(), filled_.first_line = first_line;
    filled_.rows += rows;
    filled_.end_s = seconds_.back();
    filled_.last_line = last_line;
}

void Clock::spread(std::size_t begin, std::size_t end, double from, double step) {
    for (std::size_t i = begin; i < end; ++i) seconds_[i] = from + static_cast<double>(i - begin) * step;
}

bool Clock::finish() {
    if (stood_rows_ == 0) return true;
    std::vector<std::size_t> starts;  // the first row of each reading
    for (std::size_t i = 0; i < seconds_.size(); ++i)
        if (i == 0 || seconds_[i] != seconds_[i - 1]) starts.push_back(i);
    if (starts.size() < 3) return false;
    // How long the clock stood at its first and its last reading is not known: there the mean step counts.
    const std::size_t second = starts[1], last = starts.back();
    const double begin_s = seconds_[second], end_s = seconds_[last];
    const double step = (end_s - begin_s) / static_cast<double>(last - second);
    for (std::size_t i = 1; i + 1 < starts.size(); ++i) {
        const double from = seconds_[starts[i]], to = seconds_[starts[i + 1]];
        largest_step_ = std::max(largest_step_, to - from);
        spread(starts[i], starts[i + 1], from, (to - from) / static_cast<double>(starts[i + 1] - starts[i]));
    }
    spread(0, second, begin_s - step * static_cast<double>(second), step);
    spread(last, seconds_.size(), end_s, step);
    return std::ranges::adjacent_find(seconds_, std::not_fn(std::less{})) == seconds_.end();
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
    if (filled_.rows > 0)
        notes.push_back(
            {"time-missing", filled_.start_s, filled_.end_s,
             fmt::format("{} row{} without a time between line {} and line {} {} put evenly between the rows "
                         "around {}",
                         filled_.rows, filled_.rows == 1 ? "" : "s", filled_.first_line, filled_.last_line,
                         filled_.rows == 1 ? "is" : "are", filled_.rows == 1 ? "it" : "them")});
    if (restarts_.rows > 0)
        notes.push_back(
            {"time-restarted", restarts_.start_s, restarts_.end_s + kBetweenRecordings,
             fmt::format("the logger was started again in line {}, where its clock falls from {} s to {} s; "
                         "the rows from there are put {:g} s behind those before",
                         restarts_.first_line, restarts_.start_s, restarts_.first_found, kBetweenRecordings)});
    if (stood_rows_ > 0)
        notes.push_back({"time-coarse", seconds_.front(), seconds_.back(),
                         fmt::format("the clock {} stands still in {} of {} rows and then steps; the rows are spread "
                                     "evenly between its steps, so that a time may be wrong by up to {:g} s",
                                     name_, stood_rows_, seconds_.size(), largest_step_)});
    return notes;
}

}  // namespace revwright::csv
