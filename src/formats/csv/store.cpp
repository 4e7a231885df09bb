#include "formats/csv/store.h"

#include <algorithm>
#include <limits>
#include <utility>

namespace revwright::csv {

void SampleStore::reserve(std::size_t rows_so_far, std::size_t rows_expected) {
    if (samples_.size() == rows_so_far) {
        samples_.reserve(rows_expected);
        return;
    }
    const double share = static_cast<double>(samples_.size()) / static_cast<double>(rows_so_far);
    samples_.reserve(static_cast<std::size_t>(share * static_cast<double>(rows_expected) * 1.02) + 1);
}

void SampleStore::mark_blank(std::size_t row) {
    if (row / 64 >= blank_.size()) blank_.resize(row / 64 + 1, 0);
    blank_[row / 64] |= std::uint64_t{1} << (row % 64);
}

std::vector<double> SampleStore::take_dense(std::size_t rows) {
    std::vector<double> values = std::exchange(samples_, {});
    std::size_t sample = values.size();
    if (sample == rows) return values;
    values.resize(rows, std::numeric_limits<double>::quiet_NaN());
    // From the back, so that no sample is overwritten before it has moved.
    for (std::size_t row = rows; row-- > 0;)
        values[row] = is_blank(row) ? std::numeric_limits<double>::quiet_NaN() : values[--sample];
    return values;
}

}  // namespace revwright::csv
