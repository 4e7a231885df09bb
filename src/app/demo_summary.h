#pragma once

#include <string>

#include "app/demo.h"

namespace revwright::app {

/// The demo as a page a person reads: the revisions, their findings, the gates, the files.
std::string summary(const Demo& demo);

/// The worst finding of a review in a few words: "mend lambda-lean at 5480 rpm", or "clear".
std::string worst_in_words(const Review& review);

}  // namespace revwright::app
