#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <gtest/gtest.h>
#include <iterator>
#include <limits>
#include <rapidcheck/gtest.h>

#include "formats/mdf4/reader.h"
#include "formats/mdf4/test_same_log.h"
#include "formats/mdf4/test_seeds.h"
#include "formats/mdf4/writer.h"

namespace revwright::mdf4 {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

Log read_back(const std::vector<std::uint8_t>& bytes) {
    auto log = read(bytes, "run.mf4");
    EXPECT_TRUE(log) << describe(log.error());
    return log ? *std::move(log) : Log{};
}

double any_number() {
    switch (*rc::gen::inRange(0, 6)) {
        case 0:
            return kNone;
        case 1:
            return *rc::gen::inRange(-1000, 1000);
        case 2:
            return 0.25 * *rc::gen::inRange(-1000, 1000);
        case 3:
            return *rc::gen::element(0.1, -0.0, 1e300, 5e-324, 1e-40, 3.4028234663852886e38, 3.4028235677973366e38);
        case 4:
            return static_cast<double>(*rc::gen::arbitrary<float>());
        default:
            return *rc::gen::arbitrary<double>();
    }
}

/// Seconds of rising steps that no binary fraction holds; another start for each base, so that none are the same.
TimeBase any_times(std::size_t base) {
    TimeBase times;
    double t = -1.0 + static_cast<double>(base) / 3.0;
    const int rows = *rc::gen::inRange(1, 30);
    for (int i = 0; i < rows; ++i) {
        times.seconds.push_back(t);
        t += 0.01 * *rc::gen::inRange(1, 40);
    }
    return times;
}

Log any_log() {
    Log log;
    const auto bases = *rc::gen::inRange<std::size_t>(1, 4);
    for (std::size_t base = 0; base < bases; ++base) {
        log.time_bases.push_back(any_times(base));
        const int channels = *rc::gen::inRange(1, 12);
        for (int i = 0; i < channels; ++i) {
            Channel channel;
            channel.name = fmt::format("channel {}.{}", base, i);
            channel.unit = *rc::gen::element<std::string>("", "rpm", "°C", "kPa gauge");
            channel.time_base = base;
            if (*rc::gen::inRange(0, 4) == 0) channel.texts = {"idle", "", "größer", "idle "};
            const bool blanks = *rc::gen::arbitrary<bool>();
            for (std::size_t j = 0; j < log.time_bases[base].seconds.size(); ++j)
                channel.values.push_back(channel.texts.empty()  ? any_number()
                                         : blanks && j % 3 == 1 ? kNone
                                                                : *rc::gen::inRange(0, 4));
            log.channels.push_back(std::move(channel));
        }
    }
    return log;
}

RC_GTEST_PROP(Mdf4RoundTrip, what_is_written_reads_back_bit_for_bit, ()) {
    const Log log = any_log();
    const WriteOptions options{.deflate = *rc::gen::arbitrary<bool>()};
    const auto bytes = write(log, options);
    const auto again = read(bytes, "run.mf4");
    if (!again) RC_FAIL(describe(again.error()));
    RC_ASSERT(difference(log, *again) == "");
    RC_ASSERT(again->lost.empty());
    RC_ASSERT(again->quality.empty());
    const bool settled = write(*again, options) == write(*read(write(*again, options), "run.mf4"), options);
    RC_ASSERT(settled);
}

TEST(Mdf4RoundTrip, more_words_than_a_conversion_can_list_are_written_as_texts) {
    Log log;
    log.time_bases.resize(1);
    Channel channel;
    channel.name = "remark";
    for (int i = 0; i < 70'000; ++i) {
        log.time_bases[0].seconds.push_back(0.01 * i);
        channel.values.push_back(i % 7 == 3 ? kNone : 69'999 - i);
        channel.texts.push_back(fmt::format("remark {}", i));
    }
    log.channels.push_back(channel);
    EXPECT_EQ(difference(log, read_back(write(log))), "");
}

TEST(Mdf4RoundTrip, deflated_blocks_of_four_mebibytes_are_put_together_again) {
    Log log;
    log.time_bases.resize(1);
    Channel channel;
    channel.name = "n";
    for (int i = 0; i < 400'000; ++i) {
        log.time_bases[0].seconds.push_back(0.01 * i);
        channel.values.push_back(0.1 * (i % 977));
    }
    log.channels.push_back(channel);
    EXPECT_EQ(difference(log, read_back(write(log, {.deflate = true}))), "");
}

/// Kept by hand and by machine: tests/fuzz/corpus/mdf4_fuzz holds what the composer makes. REVWRIGHT_WRITE_SEEDS=1
/// writes it.
TEST(Mdf4Seeds, the_kept_corpus_is_what_the_composer_makes) {
    const std::string folder = "tests/fuzz/corpus/mdf4_fuzz/";
    for (const blocks::Seed& seed : blocks::all_seeds()) {
        const std::string file = folder + seed.name + ".mf4";
        if (std::getenv("REVWRIGHT_WRITE_SEEDS") != nullptr)
            std::ofstream(file, std::ios::binary)
                .write(reinterpret_cast<const char*>(seed.bytes.data()), std::ssize(seed.bytes));
        std::ifstream in(file, std::ios::binary);
        const std::vector<char> kept{std::istreambuf_iterator<char>(in), {}};
        EXPECT_TRUE(std::ranges::equal(kept, seed.bytes, {}, [](char c) { return static_cast<std::uint8_t>(c); }))
            << file;
    }
}

TEST(Mdf4Seeds, are_read_or_refused_as_they_say_and_read_again_when_written) {
    for (const blocks::Seed& seed : blocks::all_seeds()) {
        SCOPED_TRACE(seed.name);
        const auto log = read(seed.bytes, seed.name);
        ASSERT_EQ(log.has_value(), seed.is_readable) << (log ? "read" : describe(log.error()));
        if (!log) continue;
        for (const bool deflate : {false, true})
            EXPECT_EQ(difference(*log, read_back(write(*log, {.deflate = deflate}))), "");
    }
}

}  // namespace
}  // namespace revwright::mdf4
