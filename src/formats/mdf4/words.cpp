#include "formats/mdf4/words.h"

#include <algorithm>

namespace revwright::mdf4 {

std::uint32_t SignalTexts::at_offset(double offset) const {
    const auto found = std::ranges::lower_bound(entries_, offset, {},
                                                [](const Entry& entry) { return static_cast<double>(entry.offset); });
    return found != entries_.end() && static_cast<double>(found->offset) == offset ? found->word : Words::kNone;
}

}  // namespace revwright::mdf4
