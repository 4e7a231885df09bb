#include "core/digest.h"

#include <cassert>
#include <charconv>
#include <openssl/evp.h>

namespace revwright {

Digest sha256(std::span<const std::uint8_t> bytes) {
    Digest digest;
    unsigned length = 0;
    [[maybe_unused]] const int done =
        EVP_Digest(bytes.data(), bytes.size(), digest.bytes.data(), &length, EVP_sha256(), nullptr);
    assert(done == 1 && length == digest.bytes.size());
    return digest;
}

std::string to_hex(std::span<const std::uint8_t> bytes) {
    constexpr std::string_view digits = "0123456789abcdef";
    std::string text;
    text.reserve(2 * bytes.size());
    for (const std::uint8_t byte : bytes) {
        text += digits[byte >> 4];
        text += digits[byte & 15];
    }
    return text;
}

std::string to_hex(const Digest& digest) { return to_hex(std::span<const std::uint8_t>(digest.bytes)); }

std::optional<Digest> digest_from_hex(std::string_view hex) {
    Digest digest;
    if (hex.size() != 2 * digest.bytes.size()) return std::nullopt;
    for (std::size_t i = 0; i < digest.bytes.size(); ++i) {
        const char* two = hex.data() + 2 * i;
        if (std::from_chars(two, two + 2, digest.bytes[i], 16).ptr != two + 2) return std::nullopt;
    }
    return digest;
}

}  // namespace revwright
