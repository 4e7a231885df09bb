#pragma once

#include <deque>

#include "formats/a2l/join.h"

namespace revwright::a2l {

/// Puts the parameters into the set, in their order: of those with one name the first. Then follows the names of their
/// axes; a parameter whose axis is not there, or not what it must be, gets that as its why_not.
void settle_parameters(std::deque<Joined>& joined, Problems& problems, ParameterSet& set);

}  // namespace revwright::a2l
