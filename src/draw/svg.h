#pragma once

#include <string>
#include <string_view>

#include "draw/scene.h"

namespace revwright::draw {

/// Text for the content or an attribute of XML 1.0: markup is escaped, characters XML does not allow and bytes that are
/// not UTF-8 become U+FFFD. Source: W3C XML 1.0, section 2.2.
std::string xml_text(std::string_view text);

/// The scene as one SVG document that needs nothing else: no script, no font, no file. Same scene, same bytes.
std::string to_svg(const Scene& scene);

}  // namespace revwright::draw
