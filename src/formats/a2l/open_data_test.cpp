#include <filesystem>
#include <fstream>
#include <iterator>

#include "formats/a2l/reading_test.h"

// The examples of ../shared/data/a2l (its README names their sources and licences); skipped where they are absent.
namespace revwright::a2l {
namespace {

const std::filesystem::path kFolder = "../shared/data/a2l";

class A2lOpenData : public ::testing::Test {
protected:
    void SetUp() override {
        if (!std::filesystem::exists(kFolder)) GTEST_SKIP() << kFolder << " is not there";
    }
    static std::string bytes(const std::string& name) {
        std::ifstream file(kFolder / name, std::ios::binary);
        return {std::istreambuf_iterator<char>(file), {}};
    }
    static ParameterSet set_of(const std::string& name) {
        auto set = read(bytes(name), name, files({}));
        if (set) return *set;
        ADD_FAILURE() << describe(set.error());
        return {};
    }
};

TEST_F(A2lOpenData, TheExampleOfTheStandard) {
    const ParameterSet set = set_of("ASAP2_Demo_V161.a2l");
    EXPECT_EQ(set.counts.characteristics, 50U);
    EXPECT_EQ(set.counts.measurements, 25U);
    EXPECT_EQ(set.counts.axis_points, 2U);
    EXPECT_EQ(set.counts.record_layouts, 24U);
    EXPECT_EQ(set.counts.conversions, 16U);
    EXPECT_EQ(set.parameters.size(), 52U);
    EXPECT_TRUE(set.notes.empty()) << notes(set);
    const ParameterDescription& map = named(set, "ASAM.C.MAP.STD_AXIS.STD_AXIS");
    EXPECT_EQ(map.address, 0x810400U);
    EXPECT_EQ(map.order, ByteOrder::little);
    ASSERT_EQ(map.axes.size(), 2U);
    EXPECT_EQ(map.axes[0].most_points, 4U);
    EXPECT_EQ(map.axes[1].most_points, 5U);
    std::size_t never = 0, virtuals = 0;
    for (const auto& parameter : set.parameters) {
        never += parameter.why_not.empty() ? 0 : 1;
        virtuals += parameter.in_memory ? 0 : 1;
    }
    EXPECT_EQ(never, 10U) << "five DEPENDENT_, five VIRTUAL_CHARACTERISTIC";
    EXPECT_EQ(virtuals, 5U);
}

TEST_F(A2lOpenData, AnAbsentIncludeIsReportedAndTheRestIsRead) {
    const ParameterSet set = set_of("engine_ecu.a2l");
    EXPECT_TRUE(holds(notes(set), "engine_ecu.a2l:7:14: supp1_if.aml is not included"));
    EXPECT_EQ(named(set, "KI").address, 0x408U);
    const ParameterDescription& map = named(set, "PUMCD");
    EXPECT_EQ(map.why_not, "it needs 2 axes and has 1");
    ASSERT_EQ(map.axes.size(), 1U);
    EXPECT_TRUE(holds(std::get<UnknownConversion>(map.axes[0].conversion).why, "N_RULE is not described"));
}

TEST_F(A2lOpenData, TheDemosOfAProtocolLibrary) {
    for (const char* name : {"c_demo.a2l", "cpp_demo.a2l", "hello_xcp.a2l", "struct_demo.a2l"}) {
        SCOPED_TRACE(name);
        const ParameterSet set = set_of(name);
        EXPECT_TRUE(holds(notes(set), "XCP_104.aml is not included"));
        EXPECT_EQ(set.layouts.size(), set.counts.record_layouts);
        EXPECT_GT(set.inputs.size(), 0U);
    }
    const ParameterSet set = set_of("c_demo.a2l");
    EXPECT_EQ(named(set, "params.delay_us").address, 0x80010004U);
    EXPECT_EQ(named(set, "params.curve").address, 0x8001004CU);
    EXPECT_EQ(set_of("struct_demo.a2l").inputs.contains("static_struct1_array[7].struct_field.word_field"), true);
}

}  // namespace
}  // namespace revwright::a2l
