#pragma once

#include <optional>
#include <string_view>

#include "core/unit.h"
#include "model/channel.h"

namespace revwright {

/// How a number in the unit a description writes becomes one of the channel; nothing where that is not settled, as for
/// gauge pressure. No unit at all is that of a plain number, and of nothing else.
inline std::optional<UnitConversion> to_channel_unit(std::string_view unit, ChannelKey channel) {
    const std::string_view wanted = info(channel.signal).unit;
    if (unit.find_first_not_of(' ') == std::string_view::npos)
        return wanted == "1" ? std::optional(UnitConversion{}) : std::nullopt;
    return conversion(unit, wanted);
}

}  // namespace revwright
