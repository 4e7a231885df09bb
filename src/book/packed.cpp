#include "book/packed.h"

#include <algorithm>
#include <cstdint>
#include <fmt/format.h>
#include <memory>
#include <new>
#include <optional>
#include <span>
#include <stdexcept>
#include <zstd.h>

namespace revwright::book {
namespace {

constexpr int kLevel = 3;
constexpr std::size_t kStep = std::size_t{1} << 16;  // a frame may claim any length: room is made as bytes come

Digest digest_of(std::string_view bytes) {
    return sha256({reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
}

/// Nothing where the frame is damaged, ends early, or something follows it.
std::optional<std::string> unpacked(std::string_view frame) {
    const std::unique_ptr<ZSTD_DStream, decltype(&ZSTD_freeDStream)> stream(ZSTD_createDStream(), ZSTD_freeDStream);
    if (!stream) throw std::bad_alloc();
    ZSTD_inBuffer in{frame.data(), frame.size(), 0};
    std::string bytes;
    for (std::size_t left = 1; left != 0;) {
        const std::size_t so_far = bytes.size();
        bytes.resize(so_far + kStep);
        ZSTD_outBuffer out{bytes.data() + so_far, kStep, 0};
        const std::size_t taken = in.pos;
        left = ZSTD_decompressStream(stream.get(), &out, &in);
        bytes.resize(so_far + out.pos);
        const bool stuck = in.pos == taken && out.pos == 0 && left != 0;
        if (ZSTD_isError(left) || stuck) return std::nullopt;
    }
    if (in.pos != in.size) return std::nullopt;
    return bytes;
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
    const auto bytes = unpacked(frame);
    if (!bytes) return wrong("cannot be unpacked");
    if (digest_of(*bytes) != digest) return wrong("holds other bytes than its name says");
    return *bytes;
}

}  // namespace revwright::book
