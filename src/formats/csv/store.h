#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

namespace revwright::csv {

/// The samples of one column while the file is read: only what is there is kept, with one bit for each row that is
/// blank. A slow channel so never takes the room of a fast one.
class SampleStore {
public:
    /// Rows are added in order from 0; NaN = blank.
    void add(std::size_t row, double value) {
        if (std::isnan(value)) [[unlikely]]
            mark_blank(row);
        else
            samples_.push_back(value);
    }
    /// The same for several rows, from `row`.
    void add(std::size_t row, std::span<const double> values);
    std::size_t count() const { return samples_.size(); }
    /// Room for the rows to come, judged by the share of the rows so far that had a sample.
    void reserve(std::size_t rows_so_far, std::size_t rows_expected);

    bool is_blank(std::size_t row) const {
        return row / 64 < blank_.size() && ((blank_[row / 64] >> (row % 64)) & 1U) != 0;
    }
    bool same_rows(const SampleStore& other) const { return blank_ == other.blank_; }
    /// One value per row, NaN where blank. Leaves the store empty.
    std::vector<double> take_dense(std::size_t rows);
    /// The samples alone; is_blank still answers.
    std::vector<double> take_samples() { return std::move(samples_); }

private:
    void mark_blank(std::size_t row);
    void mark_blanks(std::size_t row, std::uint64_t blanks);
    void add_some(std::size_t row, std::span<const double> values);
    std::vector<double> samples_;
    std::vector<std::uint64_t> blank_;  // empty for a column without blanks
};

}  // namespace revwright::csv
