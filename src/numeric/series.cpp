#include "numeric/series.h"

#include <algorithm>
#include <limits>

namespace revwright {

std::optional<std::size_t> index_at(const Series& series, double t) {
    const auto after = std::ranges::upper_bound(series.times, t);
    if (after == series.times.begin()) return std::nullopt;
    return static_cast<std::size_t>(after - series.times.begin()) - 1;
}

double value_at(const Series& series, double t) {
    const auto i = index_at(series, t);
    if (!i) return std::numeric_limits<double>::quiet_NaN();
    if (series.times[*i] == t) return series.values[*i];
    if (*i + 1 == series.size()) return std::numeric_limits<double>::quiet_NaN();
    const double part = (t - series.times[*i]) / (series.times[*i + 1] - series.times[*i]);
    return series.values[*i] + part * (series.values[*i + 1] - series.values[*i]);
}

Series slice(const Series& series, double from, double to) {
    const auto first = std::ranges::lower_bound(series.times, from) - series.times.begin();
    const auto last = std::ranges::upper_bound(series.times, to) - series.times.begin();
    const auto begin = static_cast<std::size_t>(first);
    const auto count = static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, last - first));
    return {series.times.subspan(begin, count), series.values.subspan(begin, count)};
}

}  // namespace revwright
