#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "naming/vocabulary.h"

namespace revwright {

/// A channel's name taken apart: what its words stand for, and which one of several it is.
struct NameWords {
    Notions notions = {};
    std::vector<std::string> unknown = {};  // words that are none of ours, lower case
    std::optional<int> cylinder = {}, bank = {}, sensor = {};
    std::optional<int> index = {};  // a bare number: "Lambda 2"
    char letter = 0;                // a bare letter: "pedal D"
};

/// Splits at blanks, signs, digits and camel case, folds umlauts (UTF-8 or Latin-1), and takes compounds apart as far
/// as words of ours cover them ("Motordrehzahl", "LadedruckSoll"). Any bytes may be given.
NameWords read_name(std::string_view name);

}  // namespace revwright
