#include "model/card.h"

namespace revwright {

std::string grouped(const Digest& digest) {
    const std::string hex = to_hex(digest);
    std::string text;
    for (std::size_t i = 0; i < hex.size(); i += 8) text += (i == 0 ? "" : " ") + hex.substr(i, 8);
    return text;
}

}  // namespace revwright
