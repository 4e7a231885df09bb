#pragma once

#include <deque>
#include <map>
#include <string>

#include "formats/a2l/cursor.h"
#include "formats/a2l/raw.h"

namespace revwright::a2l {

/// Blocks that are not known, and what was counted.
struct Met {
    struct Unknown {
        std::size_t times = 0;
        Place first = {};
    };
    std::map<std::string, Unknown, std::less<>> unknown = {};
    ParameterSet::Counts counts = {};
    bool project = false;
};

/// Reads the whole description. What is wrong is in the cursor's problems.
std::deque<RawModule> read_modules(Cursor& cursor, Met& met);

}  // namespace revwright::a2l
