#include "image/check_entry.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

/// Four u8 points at 0x10, four i16 cells at 0x20.
Description spark_curve() {
    TableDescription curve;
    curve.name = "SPARK";
    curve.quantity = {Signal::spark_deg};
    curve.address = 0x20;
    curve.coding = {RawType::i16, ByteOrder::big};
    curve.shape = {4};
    curve.axes = {
        {{Signal::engine_speed_rpm}, 4, AxisInMemory{0x10, {RawType::u8, ByteOrder::big, 40.0, 0.0}}, {}, {}}};
    return {"car.tables.toml", {curve}};
}

ImageEntry tied(Role role, const std::string& table) {
    ImageEntry entry;
    entry.roles[role] = {{.table = table, .when = "", .where = Place{"job.toml", 7, 3}}};
    return entry;
}

TEST(CheckEntry, ARoleNeedsATableThatIsDescribedAndHoldsItsQuantity) {
    EXPECT_TRUE(check_entry(tied(Role::spark, "SPARK"), spark_curve()));
    EXPECT_TRUE(check_entry(tied(Role::wastegate_duty, "SPARK"), spark_curve())) << "many kinds: not judged";
    const auto missing = check_entry(tied(Role::spark, "NONE"), spark_curve());
    ASSERT_FALSE(missing);
    EXPECT_EQ(describe(missing.error()),
              "job.toml:7:3: role spark names table NONE, which car.tables.toml does not describe");
    const auto other = check_entry(tied(Role::boost_target, "SPARK"), spark_curve());
    ASSERT_FALSE(other);
    EXPECT_EQ(describe(other.error()),
              "job.toml:7:3: role boost_target needs a table of boost_target_kpa, found SPARK, which holds spark_deg");
}

TEST(CheckEntry, AChecksumIsStoredBesideTablesAndAxesNeverInThem) {
    const auto stored_at = [](std::uint64_t store) {
        ChecksumRegion sum;
        sum.kind = ChecksumKind::sum16;
        sum.store = store;
        sum.where = Place{"job.toml", 9, 1};
        ImageEntry entry;
        entry.checksums = {sum};
        return check_entry(entry, spark_curve());
    };
    EXPECT_TRUE(stored_at(0x0E)) << "its two bytes end right before the axis";
    EXPECT_TRUE(stored_at(0x28)) << "right behind the cells";
    ASSERT_FALSE(stored_at(0x13));
    const auto inside = stored_at(0x1F);
    ASSERT_FALSE(inside);
    EXPECT_EQ(
        describe(inside.error()),
        "job.toml:9:1: the checksum stored at 0x001F lies inside table SPARK, 0x0020 to 0x0027: it would overwrite "
        "what is calibrated");
}

}  // namespace
}  // namespace revwright
