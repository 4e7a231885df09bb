#pragma once

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "model/log.h"

namespace revwright::csv {

/// One clock of the log while rows are read. A row whose time does not rise is left out of the time base, and counted.
class Clock {
public:
    /// How a clock that does not rise from row to row is understood.
    enum class Kind {
        plain,
        coarse,  // it stands still for several rows and then steps: the rows count all the same
        of_day,  // a time of day: a fall by more than half a day is midnight
    };
    Clock(std::string name, Kind kind) : name_(std::move(name)), kind_(kind) {}

    /// Takes the time of a row if it rises; says whether the row counts.
    bool advance(double reading, std::size_t line) {
        const double seconds = reading + shift_;
        if (!seconds_.empty() && !(seconds > seconds_.back())) [[unlikely]]
            return stands_or_falls(reading, line);
        seconds_.push_back(seconds);
        return true;
    }
    /// The logger was started again: should the clock begin anew with the next row, it is put behind what was read.
    void restart() { restart_row_ = seconds_.size(); }
    /// The time was missing in so many rows and was filled in evenly.
    void count_filled(std::size_t rows, std::size_t first_line, std::size_t last_line);

    void reserve(std::size_t rows) { seconds_.reserve(rows); }
    std::size_t rows() const { return seconds_.size(); }
    const std::vector<double>& seconds() const { return seconds_; }
    /// What is added to its readings, after a restart or midnight.
    double shift() const { return shift_; }
    const std::string& name() const { return name_; }
    /// Spreads the rows of a coarse clock evenly between its steps. False where there is no room between two steps.
    bool finish();
    std::vector<double> take() { return std::move(seconds_); }
    /// At most one note for each kind of fault.
    std::vector<QualityNote> notes() const;

private:
    struct Fault {
        std::size_t rows = 0, first_line = 0, last_line = 0;
        double start_s = 0.0, end_s = 0.0;  // the clock's reading at the first and the last
        double first_found = 0.0;
        void count(double clock, double found, std::size_t line);
    };
    bool stands_or_falls(double reading, std::size_t line);
    void spread(std::size_t begin, std::size_t end, double from, double step);

    std::string name_;
    Kind kind_;
    double shift_ = 0.0;
    std::size_t restart_row_ = 0;  // the row before which it may begin anew
    std::vector<double> seconds_;
    Fault repeated_, reversed_, filled_, restarts_;
    std::size_t stood_rows_ = 0;  // of a coarse clock
    double largest_step_ = 0.0;
};

}  // namespace revwright::csv
