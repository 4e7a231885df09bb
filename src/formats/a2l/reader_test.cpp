#include "formats/a2l/reader.h"

#include "formats/a2l/reading_test.h"

// Keywords and their parameters: ASAM MCD-2 MC 1.6 and 1.7. All names are invented.
namespace revwright::a2l {
namespace {

using Kind = ParameterDescription::Kind;
using AxisKind = ParameterAxis::Kind;

TEST(A2l, ReadsAValueWithAllItSays) {
    const ParameterSet set = read_with_common(
        "/begin CHARACTERISTIC K_Idle \"Idle \\\"speed\\\"\" VALUE 0x8100 L_U16 0 NO_COMPU_METHOD 600 1400\n"
        "  FORMAT \"%6.1\" DISPLAY_IDENTIFIER READ_ONLY ECU_ADDRESS_EXTENSION 0 EXTENDED_LIMITS 0 9000\n"
        "  BIT_MASK 0x0FFF BYTE_ORDER MSB_LAST PHYS_UNIT \"1/min\"\n"
        "  /begin IF_DATA NEST /begin CHARACTERISTIC /end CHARACTERISTIC \"/end IF_DATA\" /end IF_DATA\n"
        "  /begin ANNOTATION ANNOTATION_LABEL \"a\" /end ANNOTATION\n"
        "/end CHARACTERISTIC");
    const ParameterDescription& value = named(set, "K_Idle");
    EXPECT_EQ(value.explained, "Idle \"speed\"");
    EXPECT_EQ(value.kind, Kind::value);
    EXPECT_EQ(value.address, 0x8100U);
    EXPECT_EQ(value.layout, "L_U16");
    EXPECT_EQ(value.order, ByteOrder::little);
    EXPECT_EQ(value.unit, "1/min");
    EXPECT_EQ(value.min, 600.0);
    EXPECT_EQ(value.max, 1400.0);
    EXPECT_EQ(value.bit_mask, 0x0FFFU);
    EXPECT_EQ(value.why_not, "") << "READ_ONLY is a display name here";
    EXPECT_TRUE(value.in_memory);
    EXPECT_EQ(value.place.line, 5U);
    EXPECT_EQ(value.place.column, 23U);
    EXPECT_EQ(set.counts.characteristics, 1U);
    EXPECT_TRUE(set.notes.empty()) << notes(set);
}

struct Refusal {
    const char* keyword;
    const char* why;
};

TEST(A2l, SaysWhyAParameterIsNeverWritten) {
    const Refusal rows[] = {
        {"READ_ONLY", "the description says READ_ONLY"},
        {"CALIBRATION_ACCESS NO_CALIBRATION", "the description says NO_CALIBRATION"},
        {"CALIBRATION_ACCESS OFFLINE_CALIBRATION", ""},
        {"GUARD_RAILS", "its outer points are GUARD_RAILS, which are not understood"},
        {"/begin DEPENDENT_CHARACTERISTIC \"X1+1\" Y /end DEPENDENT_CHARACTERISTIC", "it depends on other parameters"},
        {"BYTE_ORDER BIG_ENDIAN", "BYTE_ORDER BIG_ENDIAN and LITTLE_ENDIAN have had both meanings"},
        {"BYTE_ORDER MSB_FIRST_MSW_LAST", "its BYTE_ORDER is neither MSB_FIRST nor MSB_LAST"},
        {"MATRIX_DIM 2 1 1", "it is an array of values"},
        {"MATRIX_DIM 1 1 1", ""},
        {"BIT_MASK many", "its BIT_MASK is not understood"},
        {"/begin AXIS_DESCR FIX_AXIS N NO_COMPU_METHOD 1 0 1 FIX_AXIS_PAR 0 0 1 /end AXIS_DESCR",
         "it needs 0 axes and has 1"},
    };
    for (const Refusal& row : rows) {
        SCOPED_TRACE(row.keyword);
        const ParameterSet set = read_with_common(std::string("/begin CHARACTERISTIC P \"\" VALUE 0x10 L_U16 0 "
                                                              "NO_COMPU_METHOD 0 1 ") +
                                                  row.keyword + " /end CHARACTERISTIC");
        EXPECT_EQ(named(set, "P").why_not, row.why);
        EXPECT_TRUE(named(set, "P").in_memory);
    }
}

TEST(A2l, AByteHasNoOrder) {
    const ParameterSet set = read_with_common(
        "/begin CHARACTERISTIC P \"\" VALUE 0x10 L_U8 0 NO_COMPU_METHOD 0 1 "
        "BYTE_ORDER LITTLE_ENDIAN /end CHARACTERISTIC");
    EXPECT_EQ(named(set, "P").why_not, "");
}

TEST(A2l, AVirtualParameterHasNoBytes) {
    const ParameterSet set = read_with_common(
        "/begin CHARACTERISTIC P \"\" VALUE 0 L_U8 0 NO_COMPU_METHOD 0 1 "
        "/begin VIRTUAL_CHARACTERISTIC \"X1\" Q /end VIRTUAL_CHARACTERISTIC /end CHARACTERISTIC\n"
        "/begin CHARACTERISTIC D \"\" DERIVED 0 L_U8 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC");
    EXPECT_FALSE(named(set, "P").in_memory);
    EXPECT_FALSE(named(set, "D").in_memory);
    EXPECT_TRUE(holds(named(set, "P").why_not, "virtual"));
}

TEST(A2l, WithoutAByteOrderNothingWideIsWritten) {
    const ParameterSet set = read_body(
        "/begin RECORD_LAYOUT L FNC_VALUES 1 UWORD ROW_DIR DIRECT /end RECORD_LAYOUT\n"
        "/begin CHARACTERISTIC P \"\" VALUE 1 L 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC");
    EXPECT_EQ(named(set, "P").why_not, "the description states no BYTE_ORDER");
}

TEST(A2l, SizesOfBlocksAndTexts) {
    const auto block = [](const std::string& kind, const std::string& size) {
        return "/begin CHARACTERISTIC P \"\" " + kind + " 1 L_U8 0 NO_COMPU_METHOD 0 1 " + size +
               " /end CHARACTERISTIC";
    };
    const auto read = [&](const std::string& kind, const std::string& size) {
        return named(read_with_common(block(kind, size)), "P");
    };
    using Sizes = std::vector<std::size_t>;
    EXPECT_EQ(read("VAL_BLK", "NUMBER 12").dimensions, (Sizes{12}));
    EXPECT_EQ(read("VAL_BLK", "MATRIX_DIM 3 4 1").dimensions, (Sizes{3, 4}));
    EXPECT_EQ(read("VAL_BLK", "MATRIX_DIM 8").dimensions, (Sizes{8})) << "1.7 takes any number of sizes";
    EXPECT_EQ(read("VAL_BLK", "MATRIX_DIM 2 3 4 5").dimensions, (Sizes{2, 3, 4, 5}));
    EXPECT_EQ(read("ASCII", "NUMBER 42").dimensions, (Sizes{42}));
    EXPECT_EQ(read("VAL_BLK", "").why_not, "it says nothing of its size");
    EXPECT_EQ(read("VAL_BLK", "NUMBER 0").why_not, "its size is none that can be");
    EXPECT_EQ(read("VAL_BLK", "MATRIX_DIM 4000000000 4000000000").why_not, "its size is none that can be");
    EXPECT_EQ(read("VAL_BLK", "NUMBER 5 MATRIX_DIM 2 2 1").why_not,
              "its NUMBER 5 is not the 4 cells of its MATRIX_DIM");
    EXPECT_TRUE(holds(read("ASCII", "NUMBER 4 ENCODING UTF16").why_not, "UTF16"));
}

std::string curve(const std::string& axis) {
    return "/begin CHARACTERISTIC C \"\" CURVE 1 L_U8 0 NO_COMPU_METHOD 0 1 /begin AXIS_DESCR " + axis +
           " /end AXIS_DESCR /end CHARACTERISTIC\n";
}

ParameterAxis axis_of(const ParameterDescription& parameter) {
    if (parameter.axes.size() == 1) return parameter.axes[0];
    ADD_FAILURE() << parameter.axes.size() << " axes";
    return {};
}

// FIX_AXIS_PAR: Xi = Offset + (i - 1) * 2^Shift, FIX_AXIS_PAR_DIST: Xi = Offset + (i - 1) * Distance (ASAM MCD-2
// MC 1.6).
TEST(A2l, FixedAxes) {
    const auto points = [](const std::string& axis) {
        return axis_of(named(read_with_common(curve(axis)), "C")).fixed_counts;
    };
    using Points = std::vector<double>;
    EXPECT_EQ(points("FIX_AXIS N NO_COMPU_METHOD 6 0 9 FIX_AXIS_PAR 0 4 6"), (Points{0, 16, 32, 48, 64, 80}));
    EXPECT_EQ(points("FIX_AXIS N NO_COMPU_METHOD 5 0 9 FIX_AXIS_PAR_DIST 100 250 5"),
              (Points{100, 350, 600, 850, 1100}));
    EXPECT_EQ(points("FIX_AXIS N NO_COMPU_METHOD 3 0 9 /begin FIX_AXIS_PAR_LIST -1 0x4 6.5 /end FIX_AXIS_PAR_LIST"),
              (Points{-1, 4, 6.5}));
    const auto why = [](const std::string& axis) { return named(read_with_common(curve(axis)), "C").why_not; };
    EXPECT_EQ(why("FIX_AXIS N NO_COMPU_METHOD 6 0 9 FIX_AXIS_PAR 0 4 6"), "");
    EXPECT_EQ(why("FIX_AXIS N NO_COMPU_METHOD 5 0 9 FIX_AXIS_PAR 0 4 6"), "its fixed axis has 6 points and says 5");
    EXPECT_TRUE(holds(why("FIX_AXIS N NO_COMPU_METHOD 5 0 9"), "has no points"));
    EXPECT_TRUE(
        holds(why("FIX_AXIS N NO_COMPU_METHOD 2 0 9 FIX_AXIS_PAR 0 1 2 FIX_AXIS_PAR_DIST 0 1 2"), "more than one way"));
    EXPECT_TRUE(
        holds(why("FIX_AXIS N NO_COMPU_METHOD 4000000000 0 9 FIX_AXIS_PAR 0 0 4000000000"), "more than can be"));
}

TEST(A2l, AxesThatLieElsewhere) {
    const std::string points =
        "/begin AXIS_PTS A_Load \"\" 0x200 N L_AX 0 NO_COMPU_METHOD 8 0 9 DEPOSIT DIFFERENCE /end AXIS_PTS\n"
        "/begin RECORD_LAYOUT L_AX NO_AXIS_PTS_X 1 UBYTE AXIS_PTS_X 2 UBYTE INDEX_DECR DIRECT /end RECORD_LAYOUT\n";
    const auto read = [&](const std::string& axis) { return named(read_with_common(curve(axis) + points), "C"); };
    const ParameterDescription shared = read("COM_AXIS N NO_COMPU_METHOD 8 0 9 AXIS_PTS_REF A_Load");
    EXPECT_EQ(axis_of(shared).kind, AxisKind::shared);
    EXPECT_EQ(axis_of(shared).shared, "A_Load");
    EXPECT_EQ(axis_of(shared).input, "N");
    EXPECT_EQ(shared.why_not, "");
    EXPECT_EQ(axis_of(read("RES_AXIS NO_INPUT_QUANTITY NO_COMPU_METHOD 8 0 9 AXIS_PTS_REF A_Load")).kind,
              AxisKind::rescaled);
    EXPECT_EQ(axis_of(read("RES_AXIS NO_INPUT_QUANTITY NO_COMPU_METHOD 8 0 9 AXIS_PTS_REF A_Load")).input, "");
    EXPECT_EQ(read("COM_AXIS N NO_COMPU_METHOD 8 0 9").why_not, "its COM_AXIS (harrow.a2l:5:70) names no axis");
    EXPECT_EQ(read("COM_AXIS N NO_COMPU_METHOD 8 0 9 AXIS_PTS_REF A_Other").why_not,
              "its COM_AXIS A_Other (harrow.a2l:5:70) is not described");
    EXPECT_TRUE(holds(read("CURVE_AXIS N NO_COMPU_METHOD 8 0 9 CURVE_AXIS_REF A_Load").why_not, "is no CURVE"));
    EXPECT_EQ(read("CURVE_AXIS N NO_COMPU_METHOD 8 0 9 CURVE_AXIS_REF C").why_not, "");
}

TEST(A2l, PointsOfAnAxisAreAParameter) {
    const ParameterSet set = read_with_common(
        "/begin MOD_COMMON \"\" DEPOSIT DIFFERENCE /end MOD_COMMON\n"
        "/begin AXIS_PTS A_Load \"load\" 0x200 N L_AX 0 CM 8 0 9 /end AXIS_PTS\n"
        "/begin COMPU_METHOD CM \"\" LINEAR \"%5.1\" \"kPa\" COEFFS_LINEAR 0.5 -3 /end COMPU_METHOD\n"
        "/begin RECORD_LAYOUT L_AX AXIS_PTS_X 1 UBYTE INDEX_INCR DIRECT /end RECORD_LAYOUT\n");
    const ParameterDescription& points = named(set, "A_Load");
    EXPECT_EQ(points.kind, Kind::axis_points);
    const ParameterAxis axis = axis_of(points);
    EXPECT_EQ(axis.kind, AxisKind::in_record);
    EXPECT_EQ(axis.most_points, 8U);
    EXPECT_EQ(axis.unit, "kPa");
    EXPECT_TRUE(axis.differences) << "of the module";
    EXPECT_EQ(std::get<LinearConversion>(axis.conversion).offset, -3.0);
    EXPECT_EQ(std::get<LinearConversion>(points.conversion).factor, 0.5);
    EXPECT_EQ(set.counts.axis_points, 1U);
}

TEST(A2l, MapsAndCuboids) {
    const auto object = [](const std::string& kind, int axes) {
        std::string text = "/begin CHARACTERISTIC M \"\" " + kind + " 1 L_U8 0 NO_COMPU_METHOD 0 1 ";
        for (int i = 0; i < axes; ++i)
            text += "/begin AXIS_DESCR STD_AXIS N" + std::to_string(i) +
                    " NO_COMPU_METHOD 4 0 1 BYTE_ORDER MSB_LAST /end AXIS_DESCR ";
        return named(read_with_common(text + "/end CHARACTERISTIC"), "M");
    };
    const ParameterDescription map = object("MAP", 2);
    EXPECT_EQ(map.kind, Kind::map);
    ASSERT_EQ(map.axes.size(), 2U);
    EXPECT_EQ(map.axes[1].input, "N1");
    EXPECT_EQ(map.axes[1].order, ByteOrder::little);
    EXPECT_EQ(object("CUBOID", 3).kind, Kind::cuboid);
    EXPECT_EQ(object("CUBE_5", 5).axes.size(), 5U);
    EXPECT_EQ(object("CUBE_5", 5).why_not, "");
    EXPECT_EQ(object("CUBE_4", 3).why_not, "it needs 4 axes and has 3");
    EXPECT_EQ(object("CUBE_5", 6).why_not, "it has more than five axes");
}

TEST(A2l, MeasurementsAreInputs) {
    const ParameterSet set = read_with_common(
        "/begin MEASUREMENT N \"engine speed\" UWORD CM 1 0 0 8000 ECU_ADDRESS 0x10 /end MEASUREMENT\n"
        "/begin MEASUREMENT T \"\" UBYTE CM 1 0 0 8000 PHYS_UNIT \"K\" BIT_MASK what /end MEASUREMENT\n"
        "/begin COMPU_METHOD CM \"\" IDENTICAL \"%5.1\" \"rpm\" /end COMPU_METHOD\n");
    ASSERT_EQ(set.inputs.size(), 2U);
    EXPECT_EQ(set.inputs.at("N").unit, "rpm");
    EXPECT_EQ(set.inputs.at("N").explained, "engine speed");
    EXPECT_EQ(set.inputs.at("T").unit, "K");
    EXPECT_EQ(set.counts.measurements, 2U);
}

TEST(A2l, VariantsAndShiftedAddressesAreNotWritten) {
    const std::string value = "/begin CHARACTERISTIC P \"\" VALUE 1 L_U8 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC\n";
    EXPECT_TRUE(holds(
        named(read_with_common(value + "/begin VARIANT_CODING VAR_SEPARATOR \".\" /begin VAR_CHARACTERISTIC P Gear "
                                       "/begin VAR_ADDRESS 1 2 /end VAR_ADDRESS /end VAR_CHARACTERISTIC /end "
                                       "VARIANT_CODING"),
              "P")
            .why_not,
        "VARIANT_CODING"));
    EXPECT_TRUE(holds(
        named(read_with_common(value + "/begin MOD_PAR \"\" ECU_CALIBRATION_OFFSET 0x1000 /end MOD_PAR"), "P").why_not,
        "ECU_CALIBRATION_OFFSET"));
}

TEST(A2l, TheFirstOfANameStays) {
    const std::string one = "/begin CHARACTERISTIC P \"\" VALUE 0x10 L_U8 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC\n";
    const std::string other =
        "/begin CHARACTERISTIC P \"\" VALUE 0x20 L_U8 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC\n";
    const ParameterSet differ = read_with_common(one + other);
    ASSERT_EQ(differ.parameters.size(), 1U);
    EXPECT_EQ(named(differ, "P").address, 0x10U);
    EXPECT_EQ(named(differ, "P").why_not, "it stands twice and differs, again at (harrow.a2l:6:23)");
    EXPECT_TRUE(holds(notes(differ), "harrow.a2l:6:23: P stands here again; the first (harrow.a2l:5:23) is taken"));
    EXPECT_EQ(named(read_with_common(one + one), "P").why_not, "") << "the same words twice are no doubt";
}

TEST(A2l, SeveralModulesKeepTheirOwnNames) {
    const auto module = [](const std::string& name, const std::string& type, const std::string& parameter) {
        return "/begin MODULE " + name +
               " \"\" /begin MOD_COMMON \"\" BYTE_ORDER MSB_LAST /end MOD_COMMON /begin RECORD_LAYOUT L FNC_VALUES 1 " +
               type + " ROW_DIR DIRECT /end RECORD_LAYOUT /begin CHARACTERISTIC " + parameter +
               " \"\" VALUE 1 L 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC /end MODULE ";
    };
    const auto set =
        read("/begin PROJECT P \"\" " + module("One", "UBYTE", "A") + module("Two", "SLONG", "B") + "/end PROJECT",
             "two.a2l", {});
    ASSERT_TRUE(set.has_value());
    EXPECT_EQ(set->layouts.at(named(*set, "A").layout).items[0].type, StoredType::u8);
    EXPECT_EQ(set->layouts.at(named(*set, "B").layout).items[0].type, StoredType::i32);
    EXPECT_TRUE(holds(notes(*set), "2 modules are read: One, Two"));
}

TEST(A2l, UnknownBlocksAndWordsArePassedOver) {
    const ParameterSet set = read_with_common(
        "/begin ORCHARD a \"/end ORCHARD\" /begin ROW 1 /end ROW /end ORCHARD /begin ORCHARD /end ORCHARD\n"
        "/begin CHARACTERISTIC P \"\" VALUE 1 L_U8 0 NO_COMPU_METHOD 0 1 PEAR 3 \"x\" NUMBER 1 /begin PLUM 2 /end PLUM "
        "/end CHARACTERISTIC");
    EXPECT_EQ(named(set, "P").why_not, "");
    EXPECT_TRUE(holds(notes(set), "harrow.a2l:5:8: blocks ORCHARD are not known and passed over (2 of them)"));
}

TEST(A2l, AForeignLanguageIsPassedOverWhole) {
    const ParameterSet set = read_with_common(
        "/begin A2ML block \"IF_DATA\" taggedunion { \"/begin\" uint; /* /end A2ML */ // /end A2ML\n char[\"] }; /end "
        "A2ML\n"
        "/begin CHARACTERISTIC P \"\" VALUE 1 L_U8 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC");
    EXPECT_EQ(set.parameters.size(), 1U);
    EXPECT_TRUE(set.notes.empty()) << notes(set);
}

TEST(A2l, OneBrokenObjectDoesNotSpoilTheNext) {
    const ParameterSet set = read_with_common(
        "/begin CHARACTERISTIC A \"\" SURFACE 1 L_U8 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC\n"
        "/begin CHARACTERISTIC B \"\" VALUE here L_U8 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC\n"
        "/begin CHARACTERISTIC C \"\" VALUE 3 L_U8 0 NO_COMPU_METHOD 0 1\n"
        "/begin CHARACTERISTIC D \"\" VALUE 4 L_U8 0 NO_COMPU_METHOD 5 1 /end CHARACTERISTIC\n");
    EXPECT_EQ(set.find("A"), nullptr);
    EXPECT_EQ(set.find("B"), nullptr);
    EXPECT_EQ(named(set, "C").why_not, "its CHARACTERISTIC block has no /end");
    EXPECT_EQ(named(set, "D").why_not, "its limits 5 to 1 leave no value");
    EXPECT_TRUE(holds(notes(set),
                      "harrow.a2l:5:28: CHARACTERISTIC A: expected VALUE, CURVE, MAP, CUBOID, CUBE_4, CUBE_5, VAL_BLK "
                      "or ASCII, found \"SURFACE\""));
    EXPECT_TRUE(holds(notes(set), "harrow.a2l:6:34: CHARACTERISTIC B: expected an address, found \"here\""));
    EXPECT_TRUE(holds(notes(set), "harrow.a2l:7:8: CHARACTERISTIC has no /end before the CHARACTERISTIC of line 8"));
    EXPECT_EQ(set.counts.characteristics, 4U);
}

TEST(A2l, WhatIsNotDescribedIsSaidWithItsPlace) {
    const ParameterSet set = read_with_common(
        "/begin CHARACTERISTIC A \"\" VALUE 1 L_None 0 NO_COMPU_METHOD 0 1 /end CHARACTERISTIC\n"
        "/begin CHARACTERISTIC B \"\" VALUE 1 L_U8 0 CM_None 0 1 /end CHARACTERISTIC\n");
    EXPECT_EQ(named(set, "A").why_not, "its record layout L_None is not described (harrow.a2l:5:36)");
    EXPECT_EQ(named(set, "B").why_not, "its conversion CM_None is not described (harrow.a2l:6:43)");
}

}  // namespace
}  // namespace revwright::a2l
