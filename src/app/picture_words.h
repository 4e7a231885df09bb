#pragma once

#include <string>

#include "model/review.h"

namespace revwright::app {

/// The verdict of one pull in a sentence, from the findings of that pull and what could not be checked in its log.
std::string pull_verdict(const Review& review, const Pull& pull);

/// "mend, lambda-follow: 0.014 over the limit of 0.040 at 4,254 rpm".
std::string margin_in_words(const Finding& finding);

}  // namespace revwright::app
