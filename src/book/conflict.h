#pragma once

#include <fmt/format.h>

#include "book/chain.h"
#include "core/error.h"

namespace revwright::book {

/// Somebody was faster: what they did is what one has to look at now.
inline tl::unexpected<Error> moved_on(const Row& last) {
    return fail(Fault::conflict, fmt::format("job {} has moved on: entry {} by {} at {} came first; look at it again",
                                             last.job, last.number, last.by, last.at_utc));
}

}  // namespace revwright::book
