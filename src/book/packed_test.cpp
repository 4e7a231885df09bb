#include "book/packed.h"

#include <gtest/gtest.h>

namespace revwright::book {
namespace {

Digest digest_of(std::string_view text) {
    return sha256({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

TEST(Packed, ComesBackAsItWas) {
    for (const std::string& bytes : {std::string(), std::string("a"), std::string(1 << 20, 'x')}) {
        const std::string packed = pack(bytes);
        EXPECT_EQ(unpack(packed, digest_of(bytes)), bytes);
    }
    EXPECT_LT(pack(std::string(1 << 20, 'x')).size(), 1000u);
}

TEST(Packed, EveryAlteredBitIsFound) {
    const std::string bytes = "time_s,engine_speed_rpm\n0,800\n0.05,812\n", packed = pack(bytes);
    for (std::size_t i = 0; i < packed.size(); ++i)
        for (int bit = 0; bit < 8; ++bit) {
            std::string altered = packed;
            altered[i] = static_cast<char>(altered[i] ^ (1 << bit));
            EXPECT_FALSE(unpack(altered, digest_of(bytes))) << "byte " << i << ", bit " << bit;
        }
    for (std::size_t size = 0; size < packed.size(); ++size)
        EXPECT_FALSE(unpack(std::string_view(packed).substr(0, size), digest_of(bytes))) << size;
}

TEST(Packed, OtherBytesThanAskedForAreRefused) {
    const auto bytes = unpack(pack("one"), digest_of("other"));
    ASSERT_FALSE(bytes);
    EXPECT_NE(bytes.error().what.find("holds other bytes than its name says"), std::string::npos);
}

}  // namespace
}  // namespace revwright::book
