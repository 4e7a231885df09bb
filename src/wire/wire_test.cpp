#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "wire/image_json.h"
#include "wire/json.h"
#include "wire/proposal_json.h"
#include "wire/review_json.h"

namespace revwright::wire {
namespace {

Proposal small_proposal() {
    Proposal proposal;
    proposal.parent.bytes[0] = 0xAB;
    ProposedTable table{.role = Role::spark, .table = "SPARK", .unit = "deg", .axes = {}, .cells = {}};
    table.axes.push_back(*Axis::make("SPARK", {Signal::engine_speed_rpm}, {1000.0, 2000.5}));
    table.cells.push_back({{1}, 12.0, 12.75, Bound::evidence, {2.0, 133.4, 0.0214}, "two pulls, \"clean\""});
    proposal.tables.push_back(table);
    proposal.refused.push_back({"boost_target", "boost only lowers"});
    proposal.approvals.push_back({Role::spark, "SPARK", {1}, "M. Orrel", "2026-03-14T09:30:00Z"});
    return proposal;
}

TEST(ProposalJson, ReadsBackWhatItWrote) {
    const std::string text = proposal_json(small_proposal());
    const auto again = read_proposal(text, "p.json");
    ASSERT_TRUE(again) << describe(again.error());
    EXPECT_EQ(proposal_json(*again), text);
    EXPECT_EQ(again->tables[0].cells[0].to, 12.75);
    EXPECT_EQ(again->approvals[0].by, "M. Orrel");
}

std::string refusal_of(const std::string& from, const std::string& to) {
    std::string text = proposal_json(small_proposal());
    const auto at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    text.replace(at, from.size(), to);
    const auto read = read_proposal(text, "p.json");
    return read ? "accepted" : describe(read.error());
}

TEST(ProposalJson, NamesTheMemberThatIsWrong) {
    EXPECT_EQ(refusal_of("\"to\": 12.75", "\"to\": \"high\""),
              "p.json: proposal.tables[0].cells[0].to must be a number");
    EXPECT_EQ(refusal_of("\"to\"", "\"two\""), "p.json: proposal.tables[0].cells[0] lacks \"to\"");
    EXPECT_EQ(refusal_of("\"bound\": \"evidence\"", "\"bound\": \"luck\""),
              "p.json: proposal.tables[0].cells[0].bound \"luck\" is no bound");
    EXPECT_EQ(refusal_of("2026-03-14T09:30:00Z", "yesterday"),
              "p.json: proposal.approvals[0].at_utc must be a time such as 2026-03-14T09:30:00Z, found \"yesterday\"");
    EXPECT_EQ(refusal_of("proposal/1", "proposal/9"),
              "p.json: proposal.schema must be \"revwright.proposal/1\", found \"revwright.proposal/9\"");
    EXPECT_EQ(refusal_of("2000.5", "900"),
              "p.json: axis engine_speed_rpm of table SPARK must rise from point to point, found 1000 then 900");
    EXPECT_EQ(refusal_of("\"parent_sha256\": \"ab", "\"parent_sha256\": \"x"),
              "p.json: proposal.parent_sha256 must be 64 hexadecimal digits");
    EXPECT_EQ(refusal_of("\"role\": \"spark\"", "\"role\": \"sparks\""),
              "p.json: proposal.tables[0].role \"sparks\" is no role");
    EXPECT_EQ(refusal_of("\"schema\"", "schema"), "p.json:2:3: expected a proposal in JSON, found text that is none");
}

TEST(RevisionJson, CarriesThePatchThatUndoesIt) {
    BuiltImage built;
    built.image.digest.bytes[3] = 9;
    built.inverse = {.parent = built.parent, .child = built.image.digest, .entries = {{0x4A20, {1, 2}, {0xFE, 0x0F}}}};
    const auto patch = read_patch(revision_json(built), "r.json");
    ASSERT_TRUE(patch) << describe(patch.error());
    EXPECT_EQ(patch->child, built.image.digest);
    ASSERT_EQ(patch->entries.size(), 1u);
    EXPECT_EQ(patch->entries[0].address, 0x4A20u);
    EXPECT_EQ(patch->entries[0].child, (std::vector<std::uint8_t>{0xFE, 0x0F}));
    std::string broken = revision_json(built);
    broken.replace(broken.find("fe0f"), 4, "fe0");
    EXPECT_EQ(describe(read_patch(broken, "r.json").error()),
              "r.json: revision.inverse[0].child must be pairs of hexadecimal digits");
}

TEST(Number, ShowsNoNoiseAndNoNan) {
    EXPECT_EQ(number(0.1 + 0.2).dump(), "0.3");
    EXPECT_EQ(number(12.0).dump(), "12");
    EXPECT_EQ(number(std::nan("")).dump(), "null");
}

TEST(ReviewJson, ListsClearFindingsOnlyWhenAsked) {
    Review review;
    review.logs = {"run.csv"};
    review.findings = {{.check = "lambda-lean", .severity = Severity::mend, .pull = 0, .log = 0, .text = "lean"},
                       {.check = "coolant-window", .severity = Severity::clear, .text = "fine"}};
    review.not_checked = {{"exhaust-temperature", {"exhaust_temp_c"}, Standing::modelled}};
    const auto brief = nlohmann::json::parse(review_json(review, false));
    EXPECT_EQ(brief["findings"].size(), 1u);
    EXPECT_EQ(brief["not_checked"][0]["standing"], "modelled");
    EXPECT_EQ(nlohmann::json::parse(review_json(review, true))["findings"].size(), 2u);
}

TEST(InspectJson, SaysHowOftenAChannelIsRenewedAndInWhichSteps) {
    Log log{.file = "a.csv", .format = "csv", .time_bases = {{}}, .channels = {}};
    Channel slow{
        .name = "iat", .unit_in_log = "C", .key = ChannelKey{Signal::intake_temp_c}, .unit = "C", .values = {}};
    for (int i = 0; i < 400; ++i) {
        log.time_bases[0].seconds.push_back(0.05 * i);
        slow.values.push_back(20.0 + i / 10);
    }
    slow.refresh_hz = 2.0;
    slow.resolution = 1.0;
    slow.quality = {"slow"};
    log.channels.push_back(slow);
    slow.refresh_hz.reset();
    log.channels.push_back(slow);
    const auto json = nlohmann::json::parse(inspect_json(log, {}, {}));
    EXPECT_EQ(json["channels"][0]["refresh_hz"], 2.0);
    EXPECT_EQ(json["channels"][0]["resolution"], 1.0);
    EXPECT_EQ(json["channels"][0]["quality"][0], "slow");
    EXPECT_TRUE(json["channels"][1]["refresh_hz"].is_null()) << "unknown, not the rate of the rows";
    EXPECT_EQ(json["channels"][0]["is"], "intake_temp_c");
    EXPECT_EQ(json["channels"][0]["max"], 59);
}

TEST(InspectJson, TellsWordsAndTheGroupOfTheFile) {
    const double none = std::nan("");
    Log log{.file = "a.mf4", .format = "mdf4", .time_bases = {{{0.0, 1.0, 2.0, 3.0}}}, .channels = {}};
    Channel state{.name = "state", .unit_in_log = "", .key = {}, .unit = "", .values = {none, 2.0, 0.0, 2.0}};
    state.texts = {"idle", "off", "pull"};
    state.group = 3;
    log.channels.push_back(state);
    const auto channel = nlohmann::json::parse(inspect_json(log, {}, {}))["channels"][0];
    EXPECT_EQ(channel["first"], "pull");
    EXPECT_EQ(channel["last"], "pull");
    EXPECT_EQ(channel["texts"], (std::vector<std::string>{"pull", "idle"})) << "those that came up";
    EXPECT_TRUE(channel["min"].is_null() && channel["max"].is_null());
    EXPECT_EQ(channel["group"], 3);
    EXPECT_EQ(channel["samples"], 3);
    for (int i = 0; i < 40; ++i) log.channels[0].texts.push_back(std::to_string(i));
    log.time_bases[0].seconds.clear();
    log.channels[0].values.clear();
    for (int i = 0; i < 40; ++i) {
        log.time_bases[0].seconds.push_back(i);
        log.channels[0].values.push_back(i);
    }
    EXPECT_EQ(nlohmann::json::parse(inspect_json(log, {}, {}))["channels"][0]["texts"].size(), 32U);
}

}  // namespace
}  // namespace revwright::wire
