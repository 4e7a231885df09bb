#include "formats/a2l/reading_test.h"

// TYPEDEF_STRUCTURE, INSTANCE: ASAM MCD-2 MC 1.7. All names are invented.
namespace revwright::a2l {
namespace {

const std::string kTypes =
    "/begin TYPEDEF_CHARACTERISTIC T_Word \"a word\" VALUE L_U16 0 NO_COMPU_METHOD 0 100 /end TYPEDEF_CHARACTERISTIC\n"
    "/begin TYPEDEF_AXIS T_Axis \"\" N L_U8 0 NO_COMPU_METHOD 4 0 9 /end TYPEDEF_AXIS\n"
    "/begin TYPEDEF_CHARACTERISTIC T_Curve \"\" CURVE L_U8 0 NO_COMPU_METHOD 0 100 /begin AXIS_DESCR COM_AXIS "
    "THIS.speed NO_COMPU_METHOD 4 0 9 "
    "AXIS_PTS_REF THIS.axis /end AXIS_DESCR /end TYPEDEF_CHARACTERISTIC\n"
    "/begin TYPEDEF_MEASUREMENT T_Speed \"speed\" UWORD NO_COMPU_METHOD 0 0 0 9 PHYS_UNIT \"rpm\" /end "
    "TYPEDEF_MEASUREMENT\n"
    "/begin TYPEDEF_BLOB T_Blob \"\" 16 /end TYPEDEF_BLOB\n"
    "/begin TYPEDEF_STRUCTURE S_Inner \"\" 0x10 /begin STRUCTURE_COMPONENT axis T_Axis 0x8 /end STRUCTURE_COMPONENT "
    "/begin STRUCTURE_COMPONENT curve T_Curve 0xC SYMBOL_TYPE_LINK \"c\" /end STRUCTURE_COMPONENT "
    "/begin STRUCTURE_COMPONENT speed T_Speed 0 MATRIX_DIM 4 /end STRUCTURE_COMPONENT /begin STRUCTURE_COMPONENT raw "
    "T_Blob 0 /end STRUCTURE_COMPONENT "
    "/end TYPEDEF_STRUCTURE\n"
    "/begin TYPEDEF_STRUCTURE S_Outer \"\" 0x30 CONSISTENT_EXCHANGE /begin STRUCTURE_COMPONENT limit T_Word 0x2 /end "
    "STRUCTURE_COMPONENT "
    "/begin STRUCTURE_COMPONENT parts S_Inner 0x10 MATRIX_DIM 2 1 1 /end STRUCTURE_COMPONENT /end TYPEDEF_STRUCTURE\n";

std::string names(const ParameterSet& set) {
    std::string all;
    for (const auto& parameter : set.parameters) all += parameter.name + " ";
    return all;
}

TEST(A2lInstance, StructuresAreTakenApart) {
    const ParameterSet set = read_with_common(
        kTypes + "/begin INSTANCE pump \"a pump\" S_Outer 0x1000 ECU_ADDRESS_EXTENSION 2 READ_WRITE /end INSTANCE");
    EXPECT_EQ(names(set), "pump.limit pump.parts[0].axis pump.parts[0].curve pump.parts[1].axis pump.parts[1].curve ");
    EXPECT_EQ(named(set, "pump.limit").address, 0x1002U);
    EXPECT_EQ(named(set, "pump.limit").address_extension, 2U);
    EXPECT_EQ(named(set, "pump.limit").explained, "a word");
    EXPECT_EQ(named(set, "pump.limit").max, 100.0);
    EXPECT_EQ(named(set, "pump.parts[1].axis").address, 0x1028U);
    EXPECT_EQ(named(set, "pump.parts[1].axis").explained, "a pump");
    const ParameterDescription& curve = named(set, "pump.parts[1].curve");
    EXPECT_EQ(curve.address, 0x102CU);
    ASSERT_EQ(curve.axes.size(), 1U);
    EXPECT_EQ(curve.axes[0].shared, "pump.parts[1].axis") << "THIS is the structure around";
    EXPECT_EQ(curve.axes[0].input, "pump.parts[1].speed");
    EXPECT_EQ(curve.why_not, "");
    EXPECT_EQ(set.inputs.at("pump.parts[0].speed").unit, "rpm");
    EXPECT_EQ(set.counts.instances, 1U);
    EXPECT_TRUE(set.notes.empty()) << notes(set);
}

TEST(A2lInstance, OfAValueAndOfAnArrayOfValues) {
    const ParameterSet set = read_with_common(kTypes +
                                              "/begin INSTANCE one \"\" T_Word 0x20 /end INSTANCE\n"
                                              "/begin INSTANCE more \"\" T_Word 0x30 MATRIX_DIM 3 /end INSTANCE");
    EXPECT_EQ(names(set), "one more[0] more[1] more[2] ");
    EXPECT_EQ(named(set, "more[2]").address, 0x34U);
}

TEST(A2lInstance, AnOverwriteChangesOnlyWhatItNames) {
    const ParameterSet set = read_with_common(
        kTypes +
        "/begin COMPU_METHOD CM \"\" LINEAR \"\" \"kPa\" COEFFS_LINEAR 2 0 /end COMPU_METHOD\n"
        "/begin INSTANCE pump \"\" S_Outer 0x1000 /begin OVERWRITE limit 0 LIMITS 5 50 CONVERSION CM /end OVERWRITE "
        "/begin OVERWRITE parts.curve 1 INPUT_QUANTITY NO_INPUT_QUANTITY PHYS_UNIT \"mg\" /end OVERWRITE /end "
        "INSTANCE\n"
        "/begin INSTANCE other \"\" S_Outer 0x2000 /end INSTANCE");
    EXPECT_EQ(named(set, "pump.limit").min, 5.0);
    EXPECT_EQ(named(set, "pump.limit").unit, "kPa");
    EXPECT_EQ(std::get<LinearConversion>(named(set, "pump.limit").conversion).factor, 2.0);
    EXPECT_EQ(named(set, "pump.parts[1].curve").axes.at(0).input, "");
    EXPECT_EQ(named(set, "pump.parts[1].curve").axes.at(0).unit, "mg");
    EXPECT_EQ(named(set, "other.limit").min, 0.0);
    EXPECT_EQ(named(set, "pump.limit").why_not, "");
}

TEST(A2lInstance, WhatIsNotUnderstoodIsSaid) {
    const auto read = [](const std::string& instance) {
        return read_with_common(kTypes + "/begin INSTANCE pump \"\" " + instance + " /end INSTANCE");
    };
    EXPECT_TRUE(holds(named(read("S_Outer 0 /begin OVERWRITE lid 0 LIMITS 0 1 /end OVERWRITE"), "pump.limit").why_not,
                      "an OVERWRITE of pump is for lid, which it does not hold"));
    EXPECT_TRUE(holds(named(read("S_Outer 0 /begin OVERWRITE limit 2 LIMITS 0 1 /end OVERWRITE"), "pump.limit").why_not,
                      "axis 2"));
    EXPECT_TRUE(holds(named(read("S_Outer 0 ADDRESS_TYPE PLONG"), "pump.limit").why_not, "behind a pointer (PLONG)"));
    EXPECT_TRUE(holds(named(read("S_Outer 0 READ_ONLY"), "pump.limit").why_not, "READ_ONLY"));
    EXPECT_TRUE(
        holds(named(read("S_Outer 0 CALIBRATION_ACCESS NO_CALIBRATION"), "pump.limit").why_not, "NO_CALIBRATION"));
    EXPECT_TRUE(holds(notes(read("S_None 0")), "pump is left out: its type S_None is not described"));
    EXPECT_TRUE(holds(notes(read("S_Outer 0 MATRIX_DIM 2 2")), "more than one dimension"));
    EXPECT_TRUE(holds(notes(read("T_Curve 0 MATRIX_DIM 2")), "how far the elements of this array lie apart"));
}

TEST(A2lInstance, StructuresInThemselvesEnd) {
    const ParameterSet set =
        read_with_common(kTypes +
                         "/begin TYPEDEF_STRUCTURE S_Self \"\" 8 /begin STRUCTURE_COMPONENT a S_Self 0 MATRIX_DIM 3 "
                         "/end STRUCTURE_COMPONENT "
                         "/begin STRUCTURE_COMPONENT w T_Word 0 /end STRUCTURE_COMPONENT /end TYPEDEF_STRUCTURE\n"
                         "/begin INSTANCE pump \"\" S_Self 0 /end INSTANCE");
    EXPECT_EQ(names(set), "pump.w ");
    EXPECT_TRUE(holds(notes(set), "S_Self is left out: this structure holds itself"));
}

TEST(A2lInstance, AnArrayWithoutEndEnds) {
    const ParameterSet set =
        read_with_common(kTypes + "/begin INSTANCE pump \"\" S_Outer 0 MATRIX_DIM 4000000000 /end INSTANCE");
    EXPECT_LE(set.parameters.size(), 100'000U);
    EXPECT_TRUE(holds(notes(set), "would make more than 100000 parameters"));
}

}  // namespace
}  // namespace revwright::a2l
