#include "draw/thin.h"

#include <algorithm>
#include <array>
#include <cassert>

namespace revwright::draw {

std::vector<Point> thinned(const std::vector<Point>& line, std::size_t most) {
    assert(most >= 4);
    if (line.size() <= most) return line;
    const std::size_t stretches = most / 4;
    std::vector<Point> kept;
    for (std::size_t s = 0; s < stretches; ++s) {
        const std::size_t first = s * line.size() / stretches, end = (s + 1) * line.size() / stretches;
        const auto from = line.begin() + static_cast<std::ptrdiff_t>(first);
        const auto to = line.begin() + static_cast<std::ptrdiff_t>(end);
        const auto [low, high] = std::minmax_element(from, to, [](Point a, Point b) { return a.y < b.y; });
        std::array places{from, low, high, to - 1};
        std::ranges::sort(places);
        const auto repeated = std::ranges::unique(places);
        for (auto place = places.begin(); place != repeated.begin(); ++place) kept.push_back(**place);
    }
    return kept;
}

}  // namespace revwright::draw
