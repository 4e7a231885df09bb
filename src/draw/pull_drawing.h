#pragma once

#include <string>

#include "draw/scene.h"
#include "model/pull_picture.h"

namespace revwright::draw {

/// The picture of a pull: verdict and facts on top, then small multiples over a shared axis of engine speed, each with
/// what was commanded, what is allowed, the other pulls thin, this one thick, and the worst points numbered with their
/// margins in words above the plot.
Scene draw_pull(const PullPicture& picture);

/// to_svg(draw_pull(picture)).
std::string pull_svg(const PullPicture& picture);

}  // namespace revwright::draw
