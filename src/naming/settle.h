#pragma once

#include <vector>

#include "model/log.h"
#include "naming/claims.h"
#include "naming/hints.h"

namespace revwright {

/// Names what no user named: by the words of each name, its unit and its samples, one meaning at a time and only where
/// nothing else fits as well. New claims are added behind the users'; what stays open gets Channel::candidates and
/// Channel::doubt; assumptions are said in Log::lost.
void settle_by_words(Log& log, const NamingHints& hints, double ambient_kpa, UserClaims& user);

}  // namespace revwright
