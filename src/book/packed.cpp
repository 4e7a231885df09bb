#include "book/packed.h"

#include <algorithm>
#include <cstdint>
#include <fmt/format.h>
#include <span>
#include <stdexcept>
#include <zstd.h>

namespace revwright::book {
namespace {

constexpr int kLevel = 3;
constexpr std::uint64_t kMostBytes = std::uint64_t{1} << 32;  // of one file: what a length field may claim

Digest digest_of(std::string_view bytes) {
    return sha256({reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
}

}  // namespace

std::string pack(std::string_view bytes) {
    const std::size_t head = Digest{}.bytes.size();
    std::string packed(head + ZSTD_compressBound(bytes.size()), '\0');
    const std::size_t size =
        ZSTD_compress(packed.data() + head, packed.size() - head, bytes.data(), bytes.size(), kLevel);
    if (ZSTD_isError(size)) throw std::runtime_error(ZSTD_getErrorName(size));
    packed.resize(head + size);
    std::ranges::copy(digest_of(std::string_view(packed).substr(head)).bytes, packed.begin());
    return packed;
}

Result<std::string> unpack(std::string_view packed, const Digest& digest) {
    const std::string name = to_hex(digest);
    const auto wrong = [&](const char* how) {
        return fail(Fault::io, fmt::format("what is kept as {} {}", name, how));
    };
    Digest claimed;
    if (packed.size() < claimed.bytes.size()) return wrong("was cut short");
    const std::string_view frame = packed.substr(claimed.bytes.size());
    std::ranges::transform(packed.substr(0, claimed.bytes.size()), claimed.bytes.begin(),
                           [](char c) { return static_cast<std::uint8_t>(c); });
    if (digest_of(frame) != claimed) return wrong("was altered after it was written");
    const unsigned long long size = ZSTD_getFrameContentSize(frame.data(), frame.size());
    if (size == ZSTD_CONTENTSIZE_ERROR || size == ZSTD_CONTENTSIZE_UNKNOWN || size > kMostBytes)
        return wrong("has no size that can be believed");
    std::string bytes(size, '\0');
    const std::size_t got = ZSTD_decompress(bytes.data(), bytes.size(), frame.data(), frame.size());
    if (ZSTD_isError(got) || got != bytes.size()) return wrong("cannot be unpacked");
    if (digest_of(bytes) != digest) return wrong("holds other bytes than its name says");
    return bytes;
}

}  // namespace revwright::book
