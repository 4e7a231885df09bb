#include "formats/sheets/table_sheet.h"

#include <gtest/gtest.h>
#include <variant>

#include "formats/sheets/sheet_testing.h"

namespace revwright::sheets {
namespace {

constexpr const char* kTables = R"(schema = "revwright.tables/1"
byte_order = "big"

[[axis]]
name = "SPEED"
points = 3
quantity = "engine_speed_rpm"
address = 0x100
type = "u16"
factor = 0.25

[[axis]]
name = "PEDAL"
points = 2
quantity = "pedal_pct"
values = [0, 100]

[[table]]
name = "SPARK_MAIN"
quantity = "spark_deg"
address = 0x120
type = "i8"
factor = 0.75
offset = -3.0
min = -20.0
max = 50.0
shape = [3, 4]
layout = "column-major"
[[table.axis]]
shared = "SPEED"
[[table.axis]]
quantity = "charge_pct"
address = 0x110
type = "i16"
byte_order = "little"
factor = 0.5
offset = 10

[[table]]
name = "LAMBDA_WOT"
quantity = "lambda_target"
address = 0x130
type = "f32"
byte_order = "little"
shape = [2]
axis = [{ quantity = "engine_speed_rpm", values = [1000.5, 6000] }]

[[table]]
name = "REV_LIMIT"
quantity = "engine_speed_rpm"
address = 0x140
type = "u32"
shape = []
)";

Description full_sheet() {
    Result<Description> sheet = read_table_sheet(kTables, "sheet.toml");
    EXPECT_TRUE(sheet) << describe(sheet.error());
    return sheet.value_or(Description{});
}

TEST(TableSheet, ReadsAMap) {
    const Description sheet = full_sheet();
    ASSERT_EQ(sheet.tables.size(), 3u);
    const TableDescription& spark = sheet.tables[0];
    EXPECT_EQ(spark.name, "SPARK_MAIN");
    EXPECT_EQ(spark.quantity.signal, Signal::spark_deg);
    EXPECT_EQ(spark.address, 0x120u);
    EXPECT_EQ(spark.coding, (Coding{RawType::i8, ByteOrder::big, 0.75, -3.0}));
    EXPECT_EQ(spark.min, -20.0);
    EXPECT_EQ(spark.max, 50.0);
    EXPECT_EQ(spark.shape, (std::vector<std::size_t>{3, 4}));
    EXPECT_TRUE(spark.column_major);
    EXPECT_TRUE(spark.writable);
    EXPECT_EQ(spark.place.line, 18u);
}

TEST(TableSheet, ReadsSharedOwnAndFixedAxes) {
    const Description sheet = full_sheet();
    ASSERT_EQ(sheet.tables.size(), 3u);
    ASSERT_EQ(sheet.tables[0].axes.size(), 2u);
    const AxisDescription& shared = sheet.tables[0].axes[0];
    EXPECT_EQ(shared.shared, "SPEED");
    EXPECT_EQ(shared.quantity.signal, Signal::engine_speed_rpm);
    EXPECT_EQ(shared.size, 3u);
    EXPECT_EQ(std::get<AxisInMemory>(shared.source).address, 0x100u);
    EXPECT_EQ(std::get<AxisInMemory>(shared.source).coding, (Coding{RawType::u16, ByteOrder::big, 0.25, 0.0}));
    const AxisDescription& own = sheet.tables[0].axes[1];
    EXPECT_EQ(own.size, 4u);
    EXPECT_EQ(std::get<AxisInMemory>(own.source).coding, (Coding{RawType::i16, ByteOrder::little, 0.5, 10.0}));
    const AxisDescription& fixed = sheet.tables[1].axes.at(0);
    EXPECT_EQ(std::get<AxisFixed>(fixed.source).points, (std::vector{1000.5, 6000.0}));
}

TEST(TableSheet, ReadsACurveAndAValue) {
    const Description sheet = full_sheet();
    ASSERT_EQ(sheet.tables.size(), 3u);
    EXPECT_EQ(sheet.tables[1].coding, (Coding{RawType::f32, ByteOrder::little, 1.0, 0.0}));
    EXPECT_TRUE(sheet.tables[2].shape.empty());
    EXPECT_EQ(sheet.tables[2].cells(), 1u);
    EXPECT_EQ(sheet.tables[2].coding.order, ByteOrder::big);
}

constexpr Spoilt kTableKeys[] = {
    {"schema = \"revwright.tables/1\"", "schema = ^\"revwright.job/1\"",
     "schema must be \"revwright.tables/1\", found \"revwright.job/1\""},
    {"byte_order = \"big\"\n", "byte_order = ^\"middle\"\n",
     "byte_order must be \"big\" or \"little\", found \"middle\""},
    {"byte_order = \"big\"\n\n[[axis]]", "\n^[[axis]]",
     "axis.byte_order is missing: type has several bytes, and the sheet has no byte_order of its own"},
    {"name = \"LAMBDA_WOT\"", "name = ^\"SPARK_MAIN\"",
     "table.name must be unique, found \"SPARK_MAIN\" again after line 18"},
    {"[[table]]\nname = \"REV_LIMIT\"", "^[[table]]", "table needs name, found none"},
    {"quantity = \"spark_deg\"", "quantity = ^\"spark_degr\"",
     "table.quantity must be a canonical channel, found \"spark_degr\"; did you mean \"spark_deg\"?"},
    {"type = \"i8\"", "type = ^\"s8\"",
     "table.type must be \"u8\", \"i8\", \"u16\", \"i16\", \"u32\", \"i32\" or \"f32\", found \"s8\"; did you mean "
     "\"u8\"?"},
    {"factor = 0.75", "factor = ^0", "table.factor must not be 0: every raw value would mean the same"},
    {"factor = 0.75", "factor = ^inf", "table.factor must be a finite number, found inf"},
    {"factor = 0.75", "^facter = 0.75", "unknown key \"facter\" in table; did you mean \"factor\"?"},
    {"max = 50.0", "max = ^-21", "table.max must not be below min -20, found -21"},
    {"shape = [3, 4]", "shape = ^[3, 4, 2]", "table.shape must have two dimensions at most, found 3"},
    {"shape = [3, 4]", "shape = ^[3, 0]", "table.shape must hold whole numbers from 1 to 1024, found 0"},
    {"shape = [3, 4]", "shape = ^[3, 4.0]", "table.shape must hold whole numbers from 1 to 1024, found 4"},
    {"shape = [3, 4]", "shape = ^12", "table.shape must be a list such as [16, 12], found a number"},
    {"shape = [3, 4]", "shape = ^[3]",
     "table \"SPARK_MAIN\" needs one [[table.axis]] per dimension of shape, 1 in all, found 2"},
    {"layout = \"column-major\"", "layout = ^\"columns\"",
     "table.layout must be \"row-major\" or \"column-major\", found \"columns\""},
    {"address = 0x140", "address = ^-4", "table.address must lie between 0 and 4294967295, found -4"},
    {"address = 0x140", "address = ^0xFFFFFFFE",
     "table.address leaves no room for 1 cells below 0xffffffff, found 0xfffffffe"},
};

constexpr Spoilt kAxisKeys[] = {
    {"name = \"PEDAL\"", "name = ^\"SPEED\"", "axis.name must be unique, found \"SPEED\" again after line 4"},
    {"values = [0, 100]", "values = ^[0, 50, 100]", "axis.values must hold 2 points, as points says, found 3"},
    {"values = [0, 100]", "values = ^[100, 100]", "axis.values must rise from point to point, found 100 then 100"},
    {"[[axis]]\nname = \"PEDAL\"\npoints = 2\nquantity = \"pedal_pct\"\nvalues = [0, 100]",
     "^[[axis]]\nname = \"PEDAL\"\npoints = 2\nquantity = \"pedal_pct\"",
     "axis needs exactly one of address, values, found none"},
    {"[[table.axis]]\nshared = \"SPEED\"", "^[[table.axis]]\nshared = \"SPEED\"\nvalues = [1, 2, 3]",
     "table.axis needs exactly one of address, values, shared, found more"},
    {"shared = \"SPEED\"", "shared = ^\"SPEDE\"",
     "table.axis.shared must be the name of an [[axis]] of the sheet, found \"SPEDE\"; did you mean \"SPEED\"?"},
    {"shared = \"SPEED\"", "shared = ^\"PEDAL\"",
     "table.axis.shared must have 3 points, as shape says, found \"PEDAL\" with 2"},
    {"shared = \"SPEED\"", "shared = \"SPEED\"\nquantity = ^\"pedal_pct\"",
     "table.axis.quantity must be engine_speed_rpm as of axis \"SPEED\", found pedal_pct"},
    {"shared = \"SPEED\"", "shared = \"SPEED\"\n^factor = 2", "unknown key \"factor\" in table.axis"},
    {"values = [1000.5, 6000]", "values = ^[1000.5, 3000, 6000]",
     "table.axis.values must hold 2 points, as shape says, found 3"},
    {"values = [1000.5, 6000]", "values = [1000.5, ^\"6000\"]", "table.axis.values must be a number, found a text"},
    {"values = [1000.5, 6000]", "values = [1000.5, 6000], ^type = \"u8\"", "unknown key \"type\" in table.axis"},
};

constexpr Spoilt kOverlaps[] = {
    {"[[table]]\nname = \"LAMBDA_WOT\"\nquantity = \"lambda_target\"\naddress = 0x130",
     "^[[table]]\nname = \"LAMBDA_WOT\"\nquantity = \"lambda_target\"\naddress = 0x12B",
     "table \"SPARK_MAIN\" and table \"LAMBDA_WOT\" must not share bytes, found both at 0x12b"},
    {"[[table]]\nname = \"REV_LIMIT\"\nquantity = \"engine_speed_rpm\"\naddress = 0x140",
     "^[[table]]\nname = \"REV_LIMIT\"\nquantity = \"engine_speed_rpm\"\naddress = 0x105",
     "axis \"SPEED\" and table \"REV_LIMIT\" must not share bytes, found both at 0x105"},
    {"[[table.axis]]\nquantity = \"charge_pct\"\naddress = 0x110",
     "^[[table.axis]]\nquantity = \"charge_pct\"\naddress = 0x119",
     "table \"SPARK_MAIN\" and the charge_pct axis of table \"SPARK_MAIN\" must not share bytes, found both at 0x120"},
};

TEST(TableSheetRefused, TableKeys) { expect_refused(read_table_sheet, kTables, kTableKeys); }
TEST(TableSheetRefused, AxisKeys) { expect_refused(read_table_sheet, kTables, kAxisKeys); }
TEST(TableSheetRefused, Overlaps) { expect_refused(read_table_sheet, kTables, kOverlaps); }

TEST(TableSheet, AxesMayLieOnOneAnother) {
    std::string sheet = kTables;
    const std::string own = "address = 0x110";
    sheet.replace(sheet.find(own), own.size(), "address = 0x100");
    EXPECT_TRUE(read_table_sheet(sheet, "sheet.toml"));
}

TEST(TableSheet, TablesMayTouch) {
    std::string sheet = kTables;
    const std::string gap = "address = 0x130";
    sheet.replace(sheet.find(gap), gap.size(), "address = 0x12C");  // 12 cells of 1 byte end at 0x12B
    EXPECT_TRUE(read_table_sheet(sheet, "sheet.toml"));
}

}  // namespace
}  // namespace revwright::sheets
