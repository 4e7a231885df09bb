#include "formats/mdf4/segments.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

namespace revwright::mdf4 {
namespace {

struct Edge {
    double at;
    std::size_t row;
    bool opens;
};

}  // namespace

Segments::Segments(const std::vector<Row>& rows, bool whole_numbers) {
    constexpr double kInfinity = std::numeric_limits<double>::infinity();
    std::vector<Edge> edges;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const double low = rows[i].low;
        double end = rows[i].high;
        if (whole_numbers || low == end) end = std::nextafter(end, kInfinity);
        if (!(low < end)) continue;
        edges.push_back({low, i, true});
        edges.push_back({end, i, false});
    }
    std::ranges::stable_sort(edges, {}, &Edge::at);
    std::set<std::size_t> open;
    for (std::size_t i = 0; i < edges.size();) {
        const double at = edges[i].at;
        for (; i < edges.size() && edges[i].at == at; ++i) {
            if (edges[i].opens)
                open.insert(edges[i].row);
            else
                open.erase(edges[i].row);
        }
        begins_.push_back(at);
        rows_.push_back(open.empty() ? kNone : *open.begin());
    }
}

std::size_t Segments::find(double x) const {
    const auto after = std::ranges::upper_bound(begins_, x);
    if (after == begins_.begin() || x != x) return kNone;
    return rows_[static_cast<std::size_t>(after - begins_.begin()) - 1];
}

}  // namespace revwright::mdf4
