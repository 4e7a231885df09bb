#pragma once

#include <vector>

#include "draw/scene.h"

namespace revwright::draw {

/// A line of at most `most` points (four or more) that looks like the one given: of each stretch the first, lowest,
/// highest and last point stay, in their order. So no peak is lost.
std::vector<Point> thinned(const std::vector<Point>& line, std::size_t most);

}  // namespace revwright::draw
