#include "formats/csv/store.h"

#include <algorithm>
#include <array>
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

/// blanks: a bit for each of 64 rows from `row`. Only what holds a blank gets a word, as with mark_blank.
void SampleStore::mark_blanks(std::size_t row, std::uint64_t blanks) {
    const std::size_t word = row / 64, shift = row % 64;
    const std::uint64_t low = blanks << shift, high = shift == 0 ? 0 : blanks >> (64 - shift);
    const std::size_t words = high != 0 ? word + 2 : low != 0 ? word + 1 : 0;
    if (words > blank_.size()) blank_.resize(words, 0);
    if (low != 0) blank_[word] |= low;
    if (high != 0) blank_[word + 1] |= high;
}

/// At most 64 rows.
void SampleStore::add_some(std::size_t row, std::span<const double> values) {
    std::array<double, 64> there;
    std::size_t count = 0;
    std::uint64_t blanks = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const bool blank = std::isnan(values[i]);
        there[count] = values[i];
        count += blank ? 0 : 1;
        blanks |= std::uint64_t{blank} << i;
    }
    samples_.insert(samples_.end(), there.begin(), there.begin() + static_cast<std::ptrdiff_t>(count));
    mark_blanks(row, blanks);
}

void SampleStore::add(std::size_t row, std::span<const double> values) {
    bool any_blank = false;
    for (const double value : values) any_blank |= std::isnan(value);
    if (!any_blank) {
        samples_.insert(samples_.end(), values.begin(), values.end());
        return;
    }
    for (; !values.empty(); row += 64) {
        const auto some = values.first(std::min<std::size_t>(values.size(), 64));
        add_some(row, some);
        values = values.subspan(some.size());
    }
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
