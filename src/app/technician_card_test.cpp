#include "app/technician_card.h"

#include <algorithm>
#include <gtest/gtest.h>
#include <map>

#include "app/card_parts.h"
#include "app/files.h"
#include "formats/sheets/job.h"
#include "report/card_html.h"
#include "rig/example_car.h"

namespace revwright::app {
namespace {

/// The example job in a folder of its own, with any change to its sheet or image.
class CardCase : public ::testing::Test {
protected:
    void SetUp() override {
        folder_ = std::filesystem::temp_directory_path() /
                  (std::string("revwright-card-") + ::testing::UnitTest::GetInstance()->current_test_info()->name());
        std::filesystem::create_directories(folder_);
        image_ = rig::standard_image();
        put("tables.toml", rig::example_table_sheet());
        put("standard.bin", image_);
        put("job.toml", rig::example_job_sheet());
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    template <class Content>
    void put(const char* name, const Content& content) {
        ASSERT_TRUE(write_file(folder_ / name, content).has_value());
    }
    Result<TechnicianCard> card(const char* image = "standard.bin") {
        return technician_card(folder_ / "job.toml", folder_ / image);
    }

    Path folder_;
    std::vector<std::uint8_t> image_;
};

std::string reading_of(const TechnicianCard& card, std::string_view what) {
    const auto found = std::ranges::find(card.lift, what, &CardLift::what);
    return found == card.lift.end() ? "" : found->reading;
}

TEST_F(CardCase, TheStandardImageMayBeDriven) {
    const auto made = card();
    ASSERT_TRUE(made.has_value());
    EXPECT_TRUE(made->in_the_way.empty());
    EXPECT_TRUE(made->image.standard);
    EXPECT_EQ(made->image.digest, sha256(image_));
    EXPECT_TRUE(made->image.since_standard.empty());
}

TEST_F(CardCase, TheOrderOfDrivingFollowsTheJob) {
    const auto made = card();
    std::string order;
    for (const CardLine& line : made->order) order += line.what + ": " + line.detail + "\n";
    EXPECT_NE(order.find("3 pulls in all"), std::string::npos) << "pulls_needed is 2\n" << order;
    EXPECT_NE(order.find("gear 3, from 1,750 rpm, full pedal in one movement, lift at 6,500 rpm"), std::string::npos)
        << "max_speed_rpm is 6,800\n"
        << order;
    // 6,500 rpm / 60 / (1.47 x 3.65) x 3.05 x (18 x 25.4 mm + 2 x 0.45 x 225 mm) x 3.6, by hand: 146.25 km/h
    EXPECT_NEAR(pull_end(sheets::read_job(rig::example_job_sheet(), "job.toml").value()).road_speed_km_h, 146.25, 0.1);
}

TEST_F(CardCase, LiftOffValuesAreTheStopLimitsOfTheJobWithTheReasonOfAnOverride) {
    EXPECT_EQ(reading_of(*card(), "Lambda, any bank"), "0.95 or leaner");
    EXPECT_EQ(reading_of(*card(), "Exhaust temperature"), "980\u00a0°C");
    put("job.toml", rig::example_job_sheet() +
                        "\n[limits]\nexhaust_temp_c = { value = 900, reason = \"cast manifold, seen cracked\" }\n");
    const auto made = card();
    EXPECT_EQ(reading_of(*made, "Exhaust temperature"), "930\u00a0°C") << "stop keeps its distance from mend";
    const auto lift = std::ranges::find(made->lift, "Exhaust temperature", &CardLift::what);
    EXPECT_EQ(lift->source, "job sheet: cast manifold, seen cracked");
    EXPECT_NE(report::card_html(*made).find("cast manifold, seen cracked"), std::string::npos);
}

TEST_F(CardCase, AWrongChecksumIsSaid) {
    image_[0x100] ^= 1U;  // the program, under the CRC, outside every table
    put("damaged.bin", image_);
    const auto made = card("damaged.bin");
    ASSERT_TRUE(made.has_value());
    ASSERT_EQ(made->in_the_way.size(), 2U);
    EXPECT_NE(made->in_the_way[0].find("checksum"), std::string::npos) << made->in_the_way[0];
    EXPECT_NE(made->in_the_way[1].find("1 byte differs"), std::string::npos) << made->in_the_way[1];
}

TEST_F(CardCase, AnImageOfAnotherSizeIsRefused) {
    image_.pop_back();
    put("short.bin", image_);
    const auto made = card("short.bin");
    ASSERT_FALSE(made.has_value());
    EXPECT_EQ(made.error().what, "is 65535 bytes long, 65536 expected: the image is not one of this job");
}

TEST_F(CardCase, TheRecordOfAnotherImageStandsInTheWay) {
    put("standard.bin.json",
        std::string_view(R"({"schema":"revwright.revision/1","parent_sha256":")" + std::string(64, 'a') +
                         R"(","sha256":")" + std::string(64, 'b') + R"(","cells":[]})"));
    EXPECT_EQ(card()->in_the_way.size(), 1U);
    put("standard.bin.json", std::string_view("not json"));
    EXPECT_FALSE(card().has_value()) << "a record that cannot be read is refused, not ignored";
}

TEST_F(CardCase, TyresThatAreTooSlowStandInTheWay) {
    std::string sheet = rig::example_job_sheet();
    sheet.replace(sheet.find("95Y"), 3, "95N");  // 140 km/h, UN Regulation 30
    put("job.toml", sheet);
    const auto made = card();
    ASSERT_EQ(made->in_the_way.size(), 1U);
    EXPECT_NE(made->in_the_way[0].find("allows 140 km/h"), std::string::npos) << made->in_the_way[0];
}

TEST_F(CardCase, TheRunEntryIsReadByTheJobSheetOnceFilledIn) {
    std::string entry = card()->run_entry;
    const std::string sheet = rig::example_job_sheet() + "\n";
    const auto as_printed = sheets::read_job(sheet + entry, "job.toml");
    ASSERT_FALSE(as_printed.has_value()) << "nobody has said where it was driven";
    EXPECT_NE(as_printed.error().what.find("place"), std::string::npos) << as_printed.error().what;
    for (const auto& [key, value] : std::map<std::string, std::string>{{"place", "\"road\""},
                                                                       {"direction", "\"east\""},
                                                                       {"slope_pct", "0.2"},
                                                                       {"occupants_kg", "150"},
                                                                       {"ambient_temp_c", "18"},
                                                                       {"ambient_pressure_kpa", "99.4"},
                                                                       {"humidity_pct", "60"},
                                                                       {"fuel_batch", "\"pump 4, 2 March\""},
                                                                       {"ron", "98"}}) {
        const std::size_t at = entry.find("# " + key + " ");
        ASSERT_NE(at, std::string::npos) << key;
        entry.erase(at, 2);
        entry.insert(entry.find("= ", at) + 2, value);
    }
    const auto filled = sheets::read_job(sheet + entry, "job.toml");
    ASSERT_TRUE(filled.has_value()) << describe(filled.error()) << "\n" << entry;
    EXPECT_EQ(filled->runs.back().image_sha256, sha256(image_));
    EXPECT_EQ(filled->runs.back().ron, 98.0);
}

TEST(CardChannels, RequiredOnesComeFirstEachWithARate) {
    JobSheet job;
    job.engine.aspiration = Aspiration::turbocharged;
    const auto channels = card_channels(job);
    EXPECT_TRUE(std::ranges::is_sorted(channels, std::greater{}, &CardChannel::required));
    const auto row = [&](std::string_view words) { return std::ranges::find(channels, words, &CardChannel::words); };
    ASSERT_NE(row("lambda"), channels.end());
    EXPECT_TRUE(row("lambda")->required);
    EXPECT_EQ(row("lambda")->least_hz, 4.0);
    ASSERT_NE(row("pedal or throttle"), channels.end());
    EXPECT_TRUE(row("pedal or throttle")->required);
    for (const CardChannel& channel : channels) EXPECT_GT(channel.least_hz, 0.0) << channel.words;
    job.engine.aspiration = Aspiration::naturally_aspirated;
    const auto without = card_channels(job);
    EXPECT_EQ(std::ranges::find(without, "boost target", &CardChannel::words), without.end());
}

TEST(CardHtml, WhatTheJobSheetSaysIsEscaped) {
    TechnicianCard card{.title = "<script>alert(1)</script>", .in_the_way = {"a & b"}};
    const std::string html = report::card_html(card);
    EXPECT_EQ(html.find("<script"), std::string::npos);
    EXPECT_NE(html.find("&lt;script&gt;"), std::string::npos);
    EXPECT_NE(html.find("<p>a &amp; b</p>"), std::string::npos);
}

}  // namespace
}  // namespace revwright::app
