#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

#include "image/file_bytes.h"

namespace revwright::fuzz {

inline void require(bool promise) {
    if (!promise) __builtin_trap();
}

inline std::string text_of(const Image& image) {
    const auto bytes = file_bytes(image);
    return {bytes.begin(), bytes.end()};
}

/// Any bytes may be refused, none may crash or hang. What was read is written again byte for byte, and a changed byte
/// is read back, in one record of the same length. `read` is a reader of records.
template <class Read>
int try_records(Read read, const std::uint8_t* data, std::size_t size) {
    const std::string text(reinterpret_cast<const char*>(data), size);
    auto records = read(text, "fuzz");
    if (!records) return require(!records.error().what.empty() && records.error().place.has_value()), 0;
    auto image = image_of_records(*std::move(records), "fuzz");
    if (!image) return require(!image.error().what.empty()), 0;
    require(text_of(*image) == text);
    image->bytes[size % image->bytes.size()] ^= 0x5A;
    const auto again = read(text_of(*image), "fuzz");
    require(again.has_value() && again->text.size() == size);
    const auto changed = image_of_records(*again, "fuzz");
    require(changed.has_value() && changed->bytes == image->bytes && changed->segments == image->segments);
    return 0;
}

}  // namespace revwright::fuzz
