#pragma once

#include <string>
#include <vector>

#include "model/channel.h"
#include "naming/name_words.h"

namespace revwright {

/// How well a wording says what a channel is.
enum class Strength {
    ask,     // it may be this; only a user can say so
    weak,    // this, where unit or data leave nothing else
    second,  // this, where no channel is named better
    strong,  // says it outright
};

/// One reading of a name's words.
struct WordMatch {
    ChannelKey key = {};
    Strength strength = Strength::ask;
    bool gauge = false, absolute = false;  // said in the name
    bool air_fuel_ratio = false;           // "AFR": lambda times the fuel's stoichiometric ratio
    bool equivalence = false;              // "equivalence ratio": lambda to some, 1 / lambda to others
    bool before_turbine = true;
    bool after_dead_centre = false;  // the name counts the spark from after top dead centre
};

/// Every canonical channel that a name's words allow, each once with its best wording, in the order of the signals.
/// Words that speak against it exclude it: "oil pressure" is no oil temperature, "coolant fan" no coolant. An unknown
/// word leaves all of them at `ask`.
std::vector<WordMatch> match_words(const NameWords& name);

}  // namespace revwright
