#include <algorithm>
#include <benchmark/benchmark.h>
#include <cstdlib>
#include <fmt/format.h>
#include <iterator>
#include <string>

#include "formats/a2l/reader.h"

namespace {

using namespace revwright;

constexpr int kEntries = 30'000;

std::string annotated(int i) {
    return fmt::format(
        "      /begin ANNOTATION\n        ANNOTATION_LABEL \"Origin\"\n        ANNOTATION_ORIGIN \"generated\"\n"
        "        /begin ANNOTATION_TEXT \"Set {} of the bench, see the note on full load.\" /end ANNOTATION_TEXT\n"
        "      /end ANNOTATION\n      /begin IF_DATA LINK\n        LINK_MAP \"object_{}\" 0x{:X} 0x0 0 0x0 1 0x87 0x0\n"
        "        /begin EVENTS 0x{:X} 12 14 /end EVENTS\n      /end IF_DATA\n",
        i, i, 0x80000 + 4 * i, i);
}

std::string axis(int which, int i) {
    return fmt::format(
        "      /begin AXIS_DESCR  /* axis {} */\n        STD_AXIS M_{:06} CM_{:04} 16 0 8000\n        BYTE_ORDER "
        "MSB_LAST\n"
        "        FORMAT \"%6.1\" EXTENDED_LIMITS 0 16000\n      /end AXIS_DESCR\n",
        which, i, i % 600);
}

std::string characteristic(int i) {
    const int axes = i % 3;
    constexpr const char* kKinds[] = {"VALUE", "CURVE", "MAP"};
    std::string text = fmt::format(
        "    /begin CHARACTERISTIC KF_{:06}_Torque_at_Speed\n      \"Torque of part {} over engine speed and load\"\n"
        "      {} 0x{:X} RL_{} 0.0 CM_{:04}\n      -100.5 327.67\n      FORMAT \"%7.2\"\n      EXTENDED_LIMITS -327.68 "
        "327.67\n"
        "      DISPLAY_IDENTIFIER DI.KF_{:06}\n",
        i, i, kKinds[axes], 0x80000 + 64 * i, axes, i % 600, i);
    for (int a = 0; a < axes; ++a) text += axis(a, i);
    return text + annotated(i) + "    /end CHARACTERISTIC\n\n";
}

std::string measurement(int i) {
    return fmt::format(
               "    /begin MEASUREMENT M_{:06}\n      \"Signal {} of the engine\"\n      UWORD CM_{:04} 1 0.1 0 8000\n"
               "      ECU_ADDRESS 0x{:X}\n      BIT_MASK 0xFFFF\n      FORMAT \"%7.2\"\n",
               i, i, i % 600, 0xD0000000U + 4U * static_cast<unsigned>(i)) +
           annotated(i) + "    /end MEASUREMENT\n\n";
}

std::string conversion(int i) {
    return fmt::format(
        "    /begin COMPU_METHOD CM_{:04} \"conversion {}\"\n      RAT_FUNC \"%7.2\" \"Nm\"\n      COEFFS 0 {} {} 0 0 "
        "1\n"
        "    /end COMPU_METHOD\n\n",
        i, i, 1 + i, i % 7);
}

/// A description as a control unit of today has it: half of it tables, half of it signals.
std::string description() {
    std::string text =
        "ASAP2_VERSION 1 61\n/begin PROJECT Bench \"\"\n  /begin MODULE Engine \"\"\n"
        "    /begin MOD_COMMON \"\" BYTE_ORDER MSB_LAST ALIGNMENT_WORD 2 /end MOD_COMMON\n"
        "    /begin RECORD_LAYOUT RL_0 FNC_VALUES 1 SWORD ROW_DIR DIRECT /end RECORD_LAYOUT\n"
        "    /begin RECORD_LAYOUT RL_1 NO_AXIS_PTS_X 1 UWORD AXIS_PTS_X 2 UWORD INDEX_INCR DIRECT\n"
        "      FNC_VALUES 3 SWORD ROW_DIR DIRECT /end RECORD_LAYOUT\n"
        "    /begin RECORD_LAYOUT RL_2 NO_AXIS_PTS_X 1 UWORD NO_AXIS_PTS_Y 2 UWORD AXIS_PTS_X 3 UWORD INDEX_INCR "
        "DIRECT\n"
        "      AXIS_PTS_Y 4 UWORD INDEX_INCR DIRECT FNC_VALUES 5 SWORD ROW_DIR DIRECT /end RECORD_LAYOUT\n";
    for (int i = 0; i < 600; ++i) text += conversion(i);
    for (int i = 0; i < kEntries / 2; ++i) text += characteristic(i) + measurement(i);
    return text + "  /end MODULE\n/end PROJECT\n";
}

void BM_ReadA2l(benchmark::State& state) {
    const std::string text = description();
    for (auto _ : state) {
        const auto set = a2l::read(text, "bench.a2l", {});
        if (!set || set->parameters.size() != kEntries / 2 || set->inputs.size() != kEntries / 2 || !set->notes.empty())
            std::abort();
        benchmark::DoNotOptimize(set);
    }
    state.SetBytesProcessed(static_cast<std::int64_t>(state.iterations()) * std::ssize(text));
    state.counters["megabytes"] = static_cast<double>(text.size()) / 1e6;
}
BENCHMARK(BM_ReadA2l)->Unit(benchmark::kMillisecond);

/// What no reader can beat: the same bytes copied once.
void BM_CopyText(benchmark::State& state) {
    const std::string text = description();
    std::string copy(text.size(), ' ');
    for (auto _ : state) {
        std::ranges::copy(text, copy.begin());
        benchmark::ClobberMemory();
    }
    state.SetBytesProcessed(static_cast<std::int64_t>(state.iterations()) * std::ssize(text));
}
BENCHMARK(BM_CopyText)->Unit(benchmark::kMillisecond);

}  // namespace
