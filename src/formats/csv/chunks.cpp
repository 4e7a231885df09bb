#include "formats/csv/chunks.h"

namespace revwright::csv {
namespace {

constexpr std::size_t kMostTries = 1000;

}  // namespace

/// Where the piece at at_ ends; at_ itself where that cannot be told.
const char* Chunks::cut() const {
    const std::string_view left = rest();
    if (left.size() <= bytes_) return end_;
    std::size_t feed = left.find('\n', bytes_ - 1);
    for (std::size_t i = 0; i < kMostTries; ++i, feed = left.find('\n', feed + 1)) {
        const char* const place = at_ + feed + 1;
        if (place == end_ || !header_.goes_on_at(place, at_, end_)) return place;
    }
    return at_;
}

std::vector<const char*> Chunks::next(std::size_t most) {
    std::vector<const char*> places{at_};
    while (places.size() <= most && at_ != end_) {
        const char* const place = cut();
        if (place == at_) break;
        places.push_back(at_ = place);
    }
    return places;
}

}  // namespace revwright::csv
