#pragma once

#include <span>
#include <string_view>

#include "model/channel.h"
#include "naming/wordings.h"

namespace revwright {

/// A name is this signal where it holds all `needed` notions, and none but those and the `allowed` ones.
struct Wording {
    Signal signal;
    Strength strength;
    std::string_view needed, allowed;
};

/// The table. A new wording is a new row.
std::span<const Wording> all_wordings();

}  // namespace revwright
