#include "core/digest.h"

#include <gtest/gtest.h>
#include <string_view>
#include <vector>

namespace revwright {
namespace {

std::string hex_of(std::string_view text) {
    return to_hex(sha256({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()}));
}

// FIPS 180-4 example vectors.
TEST(Digest, MatchesThePublishedVectors) {
    EXPECT_EQ(hex_of(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    EXPECT_EQ(hex_of("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_EQ(hex_of("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
              "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    EXPECT_EQ(hex_of(std::string(1'000'000, 'a')), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST(Digest, HexGoesThereAndBack) {
    const Digest digest = sha256(std::vector<std::uint8_t>{1, 2, 3});
    EXPECT_EQ(digest_from_hex(to_hex(digest)), digest);
    EXPECT_EQ(digest_from_hex("abc"), std::nullopt);
    EXPECT_EQ(digest_from_hex(std::string(64, 'g')), std::nullopt);
}

}  // namespace
}  // namespace revwright
