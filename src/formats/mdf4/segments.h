#pragma once

#include <cstddef>
#include <vector>

namespace revwright::mdf4 {

/// Rows of a range table as intervals that do not overlap, so that a value is found in logarithmic time whatever the
/// table looks like. Where rows overlap the first counts.
class Segments {
public:
    static constexpr std::size_t kNone = static_cast<std::size_t>(-1);

    struct Row {
        double low = 0.0, high = 0.0;
    };
    /// Whole numbers: low <= x <= high; others: low <= x < high, and x == low where both are equal. Source: ASAM
    /// MDF 4.2, value range conversions, as quoted by the open library ihedvall/mdflib.
    Segments(const std::vector<Row>& rows, bool whole_numbers);
    Segments() = default;

    /// The row that holds x; kNone where none does.
    std::size_t find(double x) const;

private:
    std::vector<double> begins_;     // rising
    std::vector<std::size_t> rows_;  // from each of them on
};

}  // namespace revwright::mdf4
