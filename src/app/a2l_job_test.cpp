#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <fstream>
#include <gtest/gtest.h>
#include <set>

#include "app/build_image.h"
#include "app/files.h"
#include "app/job_description.h"
#include "app/propose_changes.h"
#include "app/read_image.h"
#include "app/rig_run.h"
#include "image/read.h"
#include "rig/example_car.h"
#include "wire/proposal_json.h"

namespace revwright::app {
namespace {

// The example car, once with its table sheet and its image in binary, once with a description (A2L) of the same tables
// and the same bytes as Intel HEX: whatever the program says must be the same.

const char* type_word(RawType type) {
    constexpr const char* kWords[] = {"UBYTE", "SBYTE", "UWORD", "SWORD", "ULONG", "SLONG", "FLOAT32_IEEE"};
    return kWords[static_cast<int>(type)];
}

const char* order_word(ByteOrder order) { return order == ByteOrder::big ? "MSB_FIRST" : "MSB_LAST"; }

/// Everything that stands around the tables: conversions and layouts, each once.
class DescriptionText {
public:
    /// A conversion of the coding; the unit is the channel's.
    std::string conversion(const Coding& coding, ChannelKey quantity) {
        const std::string name = fmt::format("CM_{}", conversions_.size());
        const std::string_view unit = info(quantity.signal).unit;
        conversions_.push_back(
            fmt::format("/begin COMPU_METHOD {} \"\" LINEAR \"%8.3\" \"{}\" COEFFS_LINEAR {} {} /end "
                        "COMPU_METHOD\n",
                        name, unit == "1" ? "" : unit, coding.factor, coding.offset));
        return name;
    }

    std::string layout(const std::string& name, const std::string& items) {
        layouts_.insert(fmt::format("/begin RECORD_LAYOUT {} {} /end RECORD_LAYOUT\n", name, items));
        return name;
    }

    void axis(const std::string& name, const AxisInMemory& memory, std::size_t points, ChannelKey quantity) {
        if (!axes_.insert(name).second) return;
        const std::string type = type_word(memory.coding.type);
        body_ += fmt::format(
            "/begin AXIS_PTS {} \"\" {:#x} NO_INPUT_QUANTITY {} 0 {} {} -1e6 1e6 BYTE_ORDER {} /end "
            "AXIS_PTS\n",
            name, memory.address, layout("AX_" + type, "AXIS_PTS_X 1 " + type + " INDEX_INCR DIRECT"),
            conversion(memory.coding, quantity), points, order_word(memory.coding.order));
    }

    void table(const TableDescription& table) {
        const char* kKinds[] = {"VALUE", "CURVE", "MAP"};
        const std::string type = type_word(table.coding.type);
        // The first of our axes is X: where it runs slowest, cells lie along Y.
        const std::string mode = table.column_major ? "ROW_DIR" : "COLUMN_DIR";
        std::string axes;
        for (std::size_t d = 0; d < table.axes.size(); ++d) axes += axis_of(table, d);
        body_ += fmt::format(
            "/begin CHARACTERISTIC {} \"\" {} {:#x} {} 0 {} {} {} BYTE_ORDER {}\n{}/end CHARACTERISTIC\n", table.name,
            kKinds[table.shape.size()], table.address,
            layout("FN_" + type + "_" + mode, "FNC_VALUES 1 " + type + " " + mode + " DIRECT"),
            conversion(table.coding, table.quantity), *table.min, *table.max, order_word(table.coding.order), axes);
    }

    std::string text() const {
        std::string all =
            "/* the example car */\nASAP2_VERSION 1 61\n/begin PROJECT EXAMPLE \"\"\n/begin MODULE M \"\"\n";
        for (const std::string& conversion : conversions_) all += conversion;
        for (const std::string& layout : layouts_) all += layout;
        return all + body_ + "/end MODULE\n/end PROJECT\n";
    }

private:
    std::string axis_of(const TableDescription& table, std::size_t d) {
        const AxisDescription& axis = table.axes[d];
        if (const auto* fixed = std::get_if<AxisFixed>(&axis.source))
            return fmt::format(
                "/begin AXIS_DESCR FIX_AXIS NO_INPUT_QUANTITY {} {} -1e6 1e6 /begin FIX_AXIS_PAR_LIST {} "
                "/end FIX_AXIS_PAR_LIST /end AXIS_DESCR\n",
                conversion({}, axis.quantity), axis.size, fmt::join(fixed->points, " "));
        const auto& memory = std::get<AxisInMemory>(axis.source);
        const std::string name = axis.shared.empty() ? fmt::format("{}_AX{}", table.name, d) : axis.shared;
        this->axis(name, memory, axis.size, axis.quantity);
        return fmt::format(
            "/begin AXIS_DESCR COM_AXIS NO_INPUT_QUANTITY {} {} -1e6 1e6 AXIS_PTS_REF {} /end AXIS_DESCR\n",
            conversion(memory.coding, axis.quantity), axis.size, name);
    }

    std::vector<std::string> conversions_;
    std::set<std::string> layouts_, axes_;
    std::string body_;
};

std::string hex_record(std::vector<std::uint8_t> bytes) {
    unsigned sum = 0;
    std::string text = ":";
    for (const std::uint8_t byte : bytes) {
        sum += byte;
        text += fmt::format("{:02X}", byte);
    }
    return text + fmt::format("{:02X}\n", (0x100U - (sum & 0xFFU)) & 0xFFU);
}

std::string intel_hex(std::span<const std::uint8_t> bytes, std::uint64_t base) {
    std::string text;
    for (std::size_t at = 0; at < bytes.size(); at += 32) {
        const std::uint64_t address = base + at;
        if (at == 0 || address % 0x10000 == 0)
            text += hex_record(
                {2, 0, 0, 4, static_cast<std::uint8_t>(address >> 24U), static_cast<std::uint8_t>(address >> 16U)});
        std::vector<std::uint8_t> record{32, static_cast<std::uint8_t>(address >> 8U),
                                         static_cast<std::uint8_t>(address), 0};
        for (const std::uint8_t byte : bytes.subspan(at, 32)) record.push_back(byte);
        text += hex_record(record);
    }
    return text + hex_record({0, 0, 0, 1});
}

std::string replaced(std::string text, const std::string& what, const std::string& with) {
    const auto at = text.find(what);
    EXPECT_NE(at, std::string::npos) << what;
    return at == std::string::npos ? text : text.replace(at, what.size(), with);
}

class A2lJob : public testing::Test {
protected:
    void SetUp() override {
        folder_ = std::filesystem::temp_directory_path() / fmt::format("revwright-a2l-{}", ::getpid());
        std::filesystem::remove_all(folder_);
        std::filesystem::create_directories(folder_);
        const auto standard = rig::standard_image();
        ASSERT_TRUE(write_file(folder_ / "standard.bin", standard));
        ASSERT_TRUE(write_file(folder_ / "standard.hex", intel_hex(standard, rig::kExampleBaseAddress)));
        ASSERT_TRUE(write_file(folder_ / "tables.toml", rig::example_table_sheet()));
        DescriptionText description;
        std::string quantities = "\n[image.quantities]\n";
        for (const Table& table : rig::standard_tables().tables) {
            description.table(table.description);
            quantities += fmt::format("\"{}\" = \"{}\"\n", table.name(), to_string(table.description.quantity));
            for (std::size_t d = 0; d < table.axes.size(); ++d)
                quantities +=
                    fmt::format("\"{}.axis{}\" = \"{}\"\n", table.name(), d, to_string(table.axes[d].quantity()));
        }
        ASSERT_TRUE(write_file(folder_ / "car.a2l", description.text()));
        sheet_ = rig::example_job_sheet();
        by_a2l_ = replaced(sheet_, "description = \"tables.toml\"", "description = \"car.a2l\"");
        by_a2l_ = replaced(by_a2l_, "format = \"binary\"", "format = \"ihex\"");
        by_a2l_ = replaced(by_a2l_, "base_address = 0x80000\n", "");
        by_a2l_ = replaced(by_a2l_, "file = \"standard.bin\"", "file = \"standard.hex\"");
        asking_ = by_a2l_;
        by_a2l_ = replaced(by_a2l_, "\n[[image.checksums]]", quantities + "\n[[image.checksums]]");
        write("sheet.toml", sheet_);
        write("a2l.toml", by_a2l_);
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    Path at(const std::string& name) const { return folder_ / name; }
    void write(const std::string& name, const std::string& text) { ASSERT_TRUE(write_file(at(name), text)); }

    Path folder_;
    std::string sheet_, by_a2l_, asking_;
};

std::string proposal_cells(const Proposal& proposal) {
    Proposal plain = proposal;
    plain.parent = {};
    return wire::proposal_json(plain);
}

TEST_F(A2lJob, TheTablesAreThoseOfTheSheet) {
    const auto sheet = read_image(at("sheet.toml"), std::nullopt, "");
    const auto a2l = read_image(at("a2l.toml"), std::nullopt, "");
    ASSERT_TRUE(sheet) << describe(sheet.error());
    ASSERT_TRUE(a2l) << describe(a2l.error());
    ASSERT_TRUE(a2l->parameters);
    for (const Table& table : sheet->tables.tables) {
        const auto& all = a2l->parameters->parameters;
        const auto read = std::ranges::find(all, table.name(), &ReadParameter::name);
        ASSERT_NE(read, all.end()) << table.name();
        EXPECT_TRUE(read->writable) << table.name() << ": " << read->why_not;
        EXPECT_EQ(read->quantity, table.description.quantity);
        EXPECT_EQ(read->values, table.values) << table.name();
        EXPECT_EQ(read->raw, table.raw);
        for (std::size_t d = 0; d < table.axes.size(); ++d)
            EXPECT_TRUE(std::ranges::equal(read->axes[d].values, table.axes[d].points())) << table.name();
    }
    const auto tables = tables_of(a2l->job, *a2l->job.standard);
    ASSERT_TRUE(tables);
    for (const Table& table : sheet->tables.tables) {
        const Table* found = tables->find(table.name());
        ASSERT_NE(found, nullptr) << table.name();
        EXPECT_EQ(found->description.address, table.description.address);
        EXPECT_EQ(found->description.coding, table.description.coding);
        EXPECT_EQ(found->description.min, table.description.min);
        EXPECT_EQ(found->axes, table.axes);
    }
}

TEST_F(A2lJob, ProposalAndBuildAreThoseOfTheSheet) {
    ASSERT_TRUE(drive_rig(at("sheet.toml"), {.image = std::nullopt, .seed = 11, .faults = {}}, at("run.csv")));
    write("sheet.toml", sheet_ + rig::run_entry({.log = "run.csv", .image = "standard.bin"}));
    write("a2l.toml", by_a2l_ + rig::run_entry({.log = "run.csv", .image = "standard.hex"}));
    const std::vector<Path> logs{at("run.csv")};
    const auto sheet = propose_changes(at("sheet.toml"), logs, std::nullopt, std::nullopt);
    const auto a2l = propose_changes(at("a2l.toml"), logs, std::nullopt, std::nullopt);
    ASSERT_TRUE(sheet) << describe(sheet.error());
    ASSERT_TRUE(a2l) << describe(a2l.error());
    EXPECT_EQ(proposal_cells(a2l->proposal), proposal_cells(sheet->proposal));

    // One cell by hand, whatever the proposal moves.
    const auto tables = rig::standard_tables();
    const Table& spark = *tables.find("SPARK_MAIN");
    const std::size_t flat = spark.flat(CellIndex{3, 5});
    const auto build_on = [&](const Proposal& proposed, const std::string& job, const std::string& out) {
        Proposal proposal = proposed;
        proposal.tables = {
            {.role = Role::spark, .table = "SPARK_MAIN", .unit = "deg", .axes = spark.axes, .cells = {}}};
        proposal.tables[0].cells.push_back({.at = {3, 5},
                                            .from = spark.values[flat],
                                            .to = spark.values[flat] - spark.description.coding.factor,
                                            .bound = Bound::step,
                                            .text = "by hand"});
        write("by-hand.json", wire::proposal_json(proposal));
        return build_image(at(job), at("by-hand.json"), std::nullopt, at(out), {"M. Orrel", "2026-03-14T09:30:00Z"});
    };
    const auto binary = build_on(sheet->proposal, "sheet.toml", "next.bin");
    const auto records = build_on(a2l->proposal, "a2l.toml", "next.hex");
    ASSERT_TRUE(binary) << describe(binary.error());
    ASSERT_TRUE(records) << describe(records.error());
    EXPECT_EQ(binary->image.bytes, records->image.bytes);
    EXPECT_NE(binary->image.bytes, rig::standard_image());

    const auto compared = compare_images(at("a2l.toml"), at("standard.hex"), at("next.hex"));
    ASSERT_TRUE(compared) << describe(compared.error());
    ASSERT_EQ(compared->comparison.tables.size(), 1u);
    EXPECT_EQ(compared->comparison.tables[0].name(), "SPARK_MAIN");
    EXPECT_TRUE(compared->comparison.outside.empty());
}

TEST_F(A2lJob, ARoleWithoutItsQuantityIsAskedForWhereItIsNeeded) {
    write("asking.toml", asking_);
    const auto read = read_image(at("asking.toml"), std::nullopt, "SPARK_MAIN");
    ASSERT_TRUE(read) << describe(read.error());
    const auto refused = open_job_with_image(at("asking.toml"));
    ASSERT_FALSE(refused);
    EXPECT_NE(refused.error().what.find("to [image.quantities]"), std::string::npos) << refused.error().what;
    EXPECT_NE(refused.error().what.find("SPARK_MAIN"), std::string::npos) << refused.error().what;
}

TEST_F(A2lJob, AnApprovalOfAParameterThatIsNoTableSaysWhatIsMissing) {
    const auto job = open_job_with_image(at("a2l.toml"));
    ASSERT_TRUE(job) << describe(job.error());
    const auto& parameters = job->parameters->set.parameters;
    const auto points =
        std::ranges::find(parameters, ParameterDescription::Kind::axis_points, &ParameterDescription::kind);
    ASSERT_NE(points, parameters.end());
    Proposal proposal;
    proposal.parent = job->standard->digest;
    proposal.tables = {{.role = Role::spark, .table = points->name, .unit = "rpm", .axes = {}, .cells = {}}};
    proposal.approvals = {{Role::spark, points->name, {0}, "M. Orrel", "2026-03-14T09:30:00Z"}};
    write("by-hand.json", wire::proposal_json(proposal));
    const auto built = build_image(at("a2l.toml"), at("by-hand.json"), std::nullopt, at("next.hex"), {});
    ASSERT_FALSE(built);
    EXPECT_NE(built.error().what.find("an approval names " + points->name + ", which"), std::string::npos)
        << built.error().what;
    EXPECT_FALSE(std::filesystem::exists(at("next.hex")));
}

TEST_F(A2lJob, IncludedFilesLieInTheFolderOfTheDescription) {
    const auto text = read_text(at("car.a2l"));
    ASSERT_TRUE(text);
    const auto module = text->find("/begin MODULE"), end = text->find("/end PROJECT");
    std::filesystem::create_directories(at("parts"));
    write("parts/module.a2l", text->substr(module, end - module));
    write("car.a2l", text->substr(0, module) + "/include \"parts/module.a2l\"\n" + text->substr(end));
    const auto job = open_job_with_image(at("a2l.toml"));
    ASSERT_TRUE(job) << describe(job.error());
    EXPECT_EQ(job->description->tables.size(), rig::standard_tables().tables.size());
    const auto sources = sources_of(*job);
    EXPECT_TRUE(std::ranges::any_of(sources, [](const Path& path) { return path.filename() == "module.a2l"; }));

    // A link that leads out is not followed: what it would give is not there.
    const Path outside = folder_.string() + "-outside.a2l";
    std::filesystem::rename(at("parts/module.a2l"), outside);
    std::filesystem::create_symlink(outside, at("parts/module.a2l"));
    const auto refused = open_job_with_image(at("a2l.toml"));
    std::filesystem::remove(outside);
    EXPECT_FALSE(refused);
}

TEST(IsA2l, ByItsFirstKeyword) {
    EXPECT_TRUE(is_a2l("\xEF\xBB\xBF/* made by\n hand */ // so\nASAP2_VERSION 1 60\n"));
    EXPECT_TRUE(is_a2l("  /begin PROJECT P \"\""));
    EXPECT_TRUE(
        is_a2l(std::string_view("\xFF\xFE"
                                "A\0S\0A\0P\0"
                                "2\0_\0V\0E\0R\0S\0I\0O\0N\0 \0",
                                30)));
    EXPECT_FALSE(is_a2l("schema = \"revwright.tables/1\"\n# ASAP2_VERSION\n"));
    EXPECT_FALSE(is_a2l(""));
    EXPECT_FALSE(is_a2l("/* a comment that never ends"));
}

}  // namespace
}  // namespace revwright::app
