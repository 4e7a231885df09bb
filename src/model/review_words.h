#pragma once

#include <string>
#include <vector>

#include "model/review.h"

namespace revwright {

/// Checks that found this severity somewhere, each once, worst first.
std::vector<std::string> checks_at(const Review& review, Severity severity);
/// Required checks that could not run, each once.
std::vector<std::string> required_but_unchecked(const Review& review);

/// "a, b and c".
std::string listed(const std::vector<std::string>& names);

/// "Stop: do not drive this revision again ...", in one sentence, as a review opens.
std::string verdict_in_words(const Review& review);

}  // namespace revwright
