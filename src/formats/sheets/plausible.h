#pragma once

#include <string_view>

namespace revwright::sheets {

/// What a number of a sheet may be, both ends allowed.
struct Range {
    std::string_view name;  // "section.key"
    double low, high;
};

/// The range of one key. Every number a sheet may hold has its row: asking for another is a fault of ours.
const Range& plausible(std::string_view name);

}  // namespace revwright::sheets
