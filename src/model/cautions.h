#pragma once

#include <array>
#include <string>
#include <string_view>

namespace revwright {

/// What every plan, proposal, card and report must show, once a page. Short and plain.
inline constexpr std::array<std::string_view, 5> kCautions{
    "Over-lean or over-advanced running destroys engines.",
    "Drive full load on a dynamometer or a closed course.",
    "Removing emission control equipment, or changing its calibration, is unlawful on the road in many places: local "
    "law and licensed practice decide.",
    "Torque and speed limiters protect parts and tyres.",
    "All figures are estimates.",
};

/// The same as one paragraph.
inline std::string cautions_paragraph() {
    std::string text;
    for (const std::string_view caution : kCautions) text.append(text.empty() ? "" : " ").append(caution);
    return text;
}

}  // namespace revwright
