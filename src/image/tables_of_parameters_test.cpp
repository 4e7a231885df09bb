#include "image/tables_of_parameters.h"

#include <gtest/gtest.h>

#include "image/build.h"
#include "image/compare_parameters.h"
#include "image/file_bytes.h"
#include "image/parameter_testing.h"
#include "image/read.h"

namespace revwright {
namespace {

using namespace testing_parameters;
using Numbers = std::vector<double>;

const std::vector<ParameterQuantities> kSpark{
    {ChannelKey{Signal::spark_deg}, {ChannelKey{Signal::engine_speed_rpm}, ChannelKey{Signal::charge_pct}}}};

/// A map of spark over speed and charge: 2 | 3 | speeds | charges | cells, ROW_DIR.
ParameterSet spark_map() {
    ParameterSet set = one(Kind::map,
                           {item(Item::axis_count, 1, StoredType::u8, 0), item(Item::axis_count, 2, StoredType::u8, 1),
                            item(Item::axis_points, 3, StoredType::u8, 0),
                            item(Item::axis_points, 4, StoredType::u8, 1), cells(5, StoredType::i8, Order::row_dir)},
                           {axis(4), axis(4)});
    ParameterDescription& map = set.parameters[0];
    map.unit = "deg";
    map.conversion = LinearConversion{0.5, 0.0};
    map.min = -10.0;
    map.max = 40.0;
    map.axes[0] = {.input = "N", .unit = "1/min", .conversion = LinearConversion{50.0, 0.0}, .most_points = 4};
    map.axes[1] = {.input = "L", .unit = "%", .conversion = LinearConversion{1.0, 0.0}, .most_points = 4};
    return set;
}

const std::vector<std::uint8_t> kMapBytes{2, 3, 40, 120, 50, 100, 150, 40, 42, 44, 46, 48, 50, 0};

Image map_image(std::vector<std::uint8_t> bytes = kMapBytes) {
    Image image = image_of(std::move(bytes));
    image.digest = sha256(file_bytes(image));
    return image;
}

TEST(TablesOfParameters, AMapReadsAsTheTableItIs) {
    const ParameterSet set = spark_map();
    const Image image = map_image();
    const auto parameters = read_parameters(set, image, kSpark);
    const Description description = tables_of_parameters(set, parameters);
    ASSERT_EQ(description.tables.size(), 1u);
    const auto table = read_table(description.tables[0], image);
    ASSERT_TRUE(table) << table.error().what;
    EXPECT_EQ(table->values, (Numbers{20, 22, 24, 21, 23, 25}));
    EXPECT_EQ(table->values, parameters.reading.parameters[0].values);
    EXPECT_EQ(table->raw, parameters.reading.parameters[0].raw);
    EXPECT_EQ(Numbers(table->axes[0].points().begin(), table->axes[0].points().end()), (Numbers{2000, 6000}));
    EXPECT_TRUE(std::holds_alternative<AxisInMemory>(table->description.axes[0].source));
}

TEST(TablesOfParameters, AnAxisOfStepsIsGivenByItsValues) {
    ParameterSet set = spark_map();
    set.parameters[0].axes[1].differences = true;
    const Image image = map_image({2, 3, 40, 120, 50, 50, 50, 40, 42, 44, 46, 48, 50});
    const Description description = tables_of_parameters(set, read_parameters(set, image, kSpark));
    ASSERT_EQ(description.tables.size(), 1u);
    EXPECT_EQ(std::get<AxisFixed>(description.tables[0].axes[1].source).points, (Numbers{50, 100, 150}));
}

TEST(TablesOfParameters, TheUnitOfTheChannelIsThatOfTheTable) {
    ParameterSet set = spark_map();
    set.parameters[0].unit = "F";
    const std::vector<ParameterQuantities> heat{{ChannelKey{Signal::exhaust_temp_c}, kSpark[0].axes}};
    const Image image = map_image();
    const auto parameters = read_parameters(set, image, heat);
    const auto table = read_table(tables_of_parameters(set, parameters).tables.at(0), image);
    ASSERT_TRUE(table);
    // 40 counts are 20 F, (20 - 32) 5/9 C.
    EXPECT_NEAR(table->values[0], -60.0 / 9.0, 1e-12);
    EXPECT_NEAR(parameters.reading.parameters[0].values[0], -60.0 / 9.0, 1e-12);
    EXPECT_NEAR(*table->description.max, 40.0 / 9.0, 1e-12);
}

ImageEntry tied_to(const std::string& table) {
    ImageEntry entry;
    entry.roles[Role::spark] = {{.table = table, .when = "", .where = {}}};
    return entry;
}

TEST(TablesOfParameters, ARoleAsksForTheQuantityItNeeds) {
    ParameterSet set = spark_map();
    const Image image = map_image();
    const auto ask = [&](const ParameterQuantities& known) {
        const std::vector<ParameterQuantities> all{known};
        const auto checked = check_roles(tied_to("P"), read_parameters(set, image, all).reading);
        return checked ? std::string() : checked.error().what;
    };
    EXPECT_EQ(ask(kSpark[0]), "");
    EXPECT_EQ(ask({}),
              "role spark names P, which holds cells whose quantity, in deg, is no known channel: add \"P\" = "
              "\"a channel\" to [image.quantities]");
    EXPECT_EQ(ask({ChannelKey{Signal::spark_deg}, {std::nullopt, ChannelKey{Signal::charge_pct}}}),
              "role spark names P, which has an axis 0 whose quantity (N), in 1/min, is no known channel: add \"N\" = "
              "\"a channel\" to [image.quantities]");
    set.parameters[0].why_not = "it depends on Q";
    EXPECT_EQ(ask(kSpark[0]), "role spark names P, which can not be written: it depends on Q");
}

TEST(TablesOfParameters, AnotherImageMayNotHaveOtherAxes) {
    const ParameterSet set = spark_map();
    const Image standard = map_image(), shorter = map_image({2, 2, 40, 120, 50, 100, 40, 42, 44, 46, 48, 50, 0, 0});
    const auto tables = [&](const Image& image) {
        return tables_of_parameters(set, read_parameters(set, image, kSpark));
    };
    EXPECT_TRUE(same_tables(tied_to("P"), tables(standard), tables(standard), standard));
    const auto refused = same_tables(tied_to("P"), tables(standard), tables(shorter), shorter);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().what,
              "table P (spark) has 2 x 2 points in this image, 2 x 3 in the standard image: tables of one shape "
              "expected");
    const auto falls = map_image({2, 3, 120, 40, 50, 100, 150, 40, 42, 44, 46, 48, 50, 0});
    EXPECT_FALSE(same_tables(tied_to("P"), tables(standard), tables(falls), falls));
}

Proposal one_cell(const Image& parent) {
    Proposal proposal;
    proposal.parent = parent.digest;
    ProposedTable table{.role = Role::spark, .table = "P", .unit = "deg", .axes = {}, .cells = {}};
    table.cells.push_back({.at = {1, 2}, .from = 25.0, .to = 24.0, .bound = Bound::step, .text = "less"});
    proposal.tables.push_back(table);
    proposal.approvals.push_back({Role::spark, "P", {1, 2}, "M. Orrel", "2026-03-14T09:30:00Z"});
    return proposal;
}

TEST(TablesOfParameters, ABuildMovesTheCellAndNothingElse) {
    const ParameterSet set = spark_map();
    const Image parent = map_image();
    const auto parameters = read_parameters(set, parent, kSpark);
    const auto others = bytes_of_parameters(set, parameters.places);
    const auto built = build(parent, tables_of_parameters(set, parameters), {}, one_cell(parent), others);
    ASSERT_TRUE(built) << built.error().what;
    std::vector<std::uint8_t> expected = kMapBytes;
    expected[12] = 48;  // x = 1, y = 2: the last cell
    EXPECT_EQ(built->image.bytes, expected);
}

TEST(TablesOfParameters, ABuildSeesTheBytesOfEveryOtherParameter) {
    ParameterSet set = spark_map();
    set.layouts["B"] = {.name = "B", .items = {cells(1, StoredType::u16)}};
    set.parameters.push_back({.name = "MODES",
                              .kind = Kind::block,
                              .address = kBase + 12,
                              .layout = "B",
                              .dimensions = {1},
                              .why_not = "it is read only"});
    const Image parent = map_image();
    const auto parameters = read_parameters(set, parent, kSpark);
    const auto built = build(parent, tables_of_parameters(set, parameters), {}, one_cell(parent),
                             bytes_of_parameters(set, parameters.places));
    ASSERT_FALSE(built);
    EXPECT_EQ(built.error().what,
              "cell [1, 2] of table P shares bytes with parameter MODES: changing one would change the other");
}

Result<Comparison> compared(const ParameterSet& set, const std::vector<ParameterQuantities>& known, const Image& a,
                            const Image& b) {
    return compare_parameters(set, {}, a, read_parameters(set, a, known), b, read_parameters(set, b, known));
}

TEST(CompareParameters, CellsAndPointsInPhysicalUnitsAndTheRestOutside) {
    const ParameterSet set = spark_map();
    const Image a = map_image(), b = map_image({2, 3, 41, 120, 50, 100, 150, 40, 42, 44, 46, 50, 50, 7});
    const auto comparison = compared(set, kSpark, a, b);
    ASSERT_TRUE(comparison) << comparison.error().what;
    ASSERT_EQ(comparison->tables.size(), 2u);
    EXPECT_EQ(comparison->tables[0].name(), "P");
    ASSERT_EQ(comparison->tables[0].cells.size(), 1u);
    EXPECT_EQ(comparison->tables[0].cells[0].at, (CellIndex{0, 2}));
    EXPECT_EQ(comparison->tables[0].cells[0].to, 25.0);
    EXPECT_EQ(comparison->tables[0].unit_text(), "deg");
    EXPECT_EQ(comparison->tables[1].name(), "P axis 0");
    EXPECT_EQ(comparison->tables[1].cells[0].to, 2050.0);
    ASSERT_EQ(comparison->outside.size(), 1u);
    EXPECT_EQ(comparison->outside[0], (ByteRange{kBase + 13, 1}));
}

TEST(CompareParameters, UnknownQuantitiesKeepTheirUnitAndWordsAreWords) {
    ParameterSet set = spark_map();
    set.layouts["B"] = {.name = "B", .items = {cells(1)}};
    set.parameters.push_back({.name = "MODE", .kind = Kind::value, .address = kBase + 13, .layout = "B"});
    set.parameters.back().conversion = WordConversion{.rows = {{0, 0, "off"}, {1, 1, "on"}}};
    const Image a = map_image(), b = map_image({2, 3, 40, 120, 50, 100, 150, 40, 42, 44, 46, 48, 52, 1});
    const auto comparison = compared(set, {}, a, b);
    ASSERT_TRUE(comparison);
    ASSERT_EQ(comparison->tables.size(), 2u);
    EXPECT_EQ(comparison->tables[0].unit_text(), "deg");
    EXPECT_FALSE(comparison->tables[0].quantity_known);
    EXPECT_EQ(comparison->tables[1].cells[0].from_text, "off");
    EXPECT_EQ(comparison->tables[1].cells[0].to_text, "on");
    EXPECT_TRUE(comparison->outside.empty());
}

TEST(CompareParameters, ABitOutsideEveryMaskIsOutside) {
    ParameterSet set = one(Kind::value, {cells(1, StoredType::u16)});
    set.parameters[0].bit_mask = 0x00F0;
    const auto low = compared(set, {}, map_image({0, 0x10}), map_image({0, 0x11}));
    ASSERT_TRUE(low);
    EXPECT_TRUE(low->tables.empty());
    EXPECT_EQ(low->outside, (std::vector<ByteRange>{{kBase + 1, 1}}));
    const auto high = compared(set, {}, map_image({0, 0x10}), map_image({0, 0x20}));
    ASSERT_TRUE(high);
    EXPECT_EQ(high->tables.at(0).cells.at(0).to, 2.0);
    EXPECT_TRUE(high->outside.empty());
}

TEST(CompareParameters, AxesOfAnotherLengthAreRefused) {
    const ParameterSet set = spark_map();
    const auto refused =
        compared(set, kSpark, map_image(), map_image({2, 2, 40, 120, 50, 100, 150, 40, 42, 44, 46, 48, 50, 0}));
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().what,
              "parameter P has axes of 2 x 2 points in this image, of 2 x 3 in image.bin: its cells can not be held "
              "against each other");
}

}  // namespace
}  // namespace revwright
