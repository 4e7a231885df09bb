#pragma once

#include <string>
#include <vector>

#include "app/demo.h"

namespace revwright::app {

/// The demo as a page a person reads: the revisions, their findings, the gates, the files.
std::string summary(const Demo& demo);

/// The worst finding of a review in a few words: "mend lambda-lean at 5480 rpm", or "clear".
std::string worst_in_words(const Review& review);

/// The power of the last revision as estimated from its log, one sentence each: the figure, what makes it unsure, the
/// gain on the standard car, and where the simulated car's own truth lies.
std::vector<std::string> power_sentences(const Demo& demo);

}  // namespace revwright::app
