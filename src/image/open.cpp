#include "image/open.h"

#include <cassert>
#include <fmt/format.h>
#include <limits>

#include "image/layout.h"

namespace revwright {

Result<Image> open_image(std::vector<std::uint8_t> bytes, std::string file, const ImageEntry& entry) {
    assert(entry.format == ImageFormat::binary);
    if (bytes.empty()) return refuse("the image is empty, the bytes of a calibration expected", Place{file});
    if (bytes.size() - 1 > std::numeric_limits<std::uint64_t>::max() - entry.base_address)
        return refuse(fmt::format("{} bytes from base address {} do not fit 64-bit addresses", bytes.size(),
                                  address_text(entry.base_address)),
                      Place{file});
    const Digest digest = sha256(bytes);
    return Image{std::move(file), entry.base_address, std::move(bytes), digest};
}

}  // namespace revwright
