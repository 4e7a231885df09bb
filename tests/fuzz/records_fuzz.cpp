// Any bytes as Intel HEX and as S-record may be refused; none may crash or hang. What was read is written again byte
// for byte, and a changed byte is read back.
#include <cstddef>
#include <cstdint>
#include <string>

#include "formats/ihex/reader.h"
#include "formats/srec/reader.h"
#include "image/file_bytes.h"

namespace {

using Reader = revwright::Result<revwright::RecordFile> (*)(std::string, const std::string&);

void require(bool promise) {
    if (!promise) __builtin_trap();
}

std::string text_of(const revwright::Image& image) {
    const auto bytes = revwright::file_bytes(image);
    return {bytes.begin(), bytes.end()};
}

void try_as(Reader read, const std::string& text) {
    auto records = read(text, "fuzz");
    if (!records) return require(!records.error().what.empty() && records.error().place.has_value());
    auto image = revwright::image_of_records(*std::move(records), "fuzz");
    if (!image) return require(!image.error().what.empty());
    require(text_of(*image) == text);
    image->bytes.back() ^= 0x5A;
    const auto again = read(text_of(*image), "fuzz");
    require(again.has_value());
    const auto changed = revwright::image_of_records(*again, "fuzz");
    require(changed.has_value() && changed->bytes == image->bytes && changed->segments == image->segments);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(reinterpret_cast<const char*>(data), size);
    try_as(revwright::ihex::read, text);
    try_as(revwright::srec::read, text);
    return 0;
}
