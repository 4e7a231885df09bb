#include "image/patch.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

Image image_of(std::vector<std::uint8_t> bytes) {
    const Digest digest = sha256(bytes);
    return {"car.bin", 0x100, std::move(bytes), digest};
}

TEST(Patch, HoldsEveryRunOfDifferingBytes) {
    const Patch patch = difference(image_of({1, 2, 3, 4, 5}), image_of({1, 9, 8, 4, 7}));
    ASSERT_EQ(patch.entries.size(), 2u);
    EXPECT_EQ(patch.entries[0].address, 0x101u);
    EXPECT_EQ(patch.entries[0].parent, (std::vector<std::uint8_t>{2, 3}));
    EXPECT_EQ(patch.entries[0].child, (std::vector<std::uint8_t>{9, 8}));
    EXPECT_EQ(patch.entries[1].address, 0x104u);
}

TEST(Patch, RefusesAnImageItWasNotMadeFor) {
    const Image parent = image_of({1, 2, 3, 4, 5}), child = image_of({1, 9, 8, 4, 7});
    const Patch patch = difference(parent, child);
    EXPECT_EQ(undo(child, patch)->bytes, parent.bytes);
    EXPECT_EQ(describe(undo(image_of({1, 9, 0, 4, 7}), patch).error()),
              "car.bin: the change at 0x0102 cannot be undone: 0x08 expected, 0x00 found");
    EXPECT_EQ(describe(undo(image_of({0, 9, 8, 4, 7}), patch).error()),
              "car.bin: the image is not the one these changes were built into: it differs in other places too");
    EXPECT_EQ(
        describe(undo(image_of({1, 9, 8, 4}), patch).error()),
        "car.bin: a change to undo lies at 0x0104 to 0x0104, outside image car.bin, which holds 0x0100 to 0x0103");
    Patch uneven = patch;
    uneven.entries[0].parent.pop_back();
    EXPECT_EQ(undo(child, uneven).error().what, "the change at 0x0101 has 1 bytes before and 2 after");
}

}  // namespace
}  // namespace revwright
