#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "model/log.h"

namespace revwright::csv {

/// The log's clock while rows are read. A row whose time does not rise is left out of the time base, and counted.
class Clock {
public:
    /// Takes the time of a row if it rises; says whether the row counts.
    bool advance(double seconds, std::size_t line);
    void reserve(std::size_t rows) { seconds_.reserve(rows); }
    std::size_t rows() const { return seconds_.size(); }
    const std::vector<double>& seconds() const { return seconds_; }
    std::vector<double> take() { return std::move(seconds_); }
    /// At most one note for repeated and one for reversed time stamps.
    std::vector<QualityNote> notes() const;

private:
    struct Fault {
        std::size_t rows = 0, first_line = 0, last_line = 0;
        double start_s = 0.0, end_s = 0.0;  // the clock's reading at the first and the last
        double first_found = 0.0;
        void count(double clock, double found, std::size_t line);
    };
    std::vector<double> seconds_;
    Fault repeated_, reversed_;
};

}  // namespace revwright::csv
