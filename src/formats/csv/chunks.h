#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "formats/csv/header_again.h"

namespace revwright::csv {

/// Cuts the rows at line feeds into pieces that can be read apart from one another: no header that stands again is cut.
class Chunks {
public:
    /// rows: each ended by a line feed. bytes: about how long a piece is to be.
    Chunks(std::string_view rows, const HeaderAgain& header, std::size_t bytes)
        : at_(rows.data()), end_(rows.data() + rows.size()), header_(header), bytes_(bytes) {}

    /// The next pieces, at most so many: where they start, and where the last one ends. Only one place, or none behind
    /// the first, where nothing is left, or where no cut can be found soon.
    std::vector<const char*> next(std::size_t most);

    /// What was not handed out yet.
    std::string_view rest() const { return {at_, static_cast<std::size_t>(end_ - at_)}; }

private:
    const char* cut() const;

    const char* at_;
    const char* end_;
    const HeaderAgain& header_;
    std::size_t bytes_;
};

}  // namespace revwright::csv
