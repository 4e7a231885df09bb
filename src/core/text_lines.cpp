#include "core/text_lines.h"

#include <fmt/format.h>

namespace revwright {

std::string character_text(char c) {
    if (c < ' ' || c > '~') return fmt::format("byte 0x{:02X}", static_cast<unsigned char>(c));
    return fmt::format("'{}'", c);
}

}  // namespace revwright
