#include <algorithm>
#include <atomic>
#include <benchmark/benchmark.h>
#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <fmt/format.h>
#include <iterator>
#include <limits>
#include <malloc.h>
#include <new>
#include <string>

#include "app/crew.h"
#include "formats/csv/reader.h"
#include "formats/csv/writer.h"

namespace {

// Freed memory is kept for the next round: what the system takes for fresh pages is no part of the reader's speed. On a
// guest of a busy host it may be ten times as much.
[[maybe_unused]] const bool kKeepsMemory = mallopt(M_MMAP_MAX, 0) != 0 && mallopt(M_TRIM_THRESHOLD, 2'000'000'000) != 0;

// Every allocation of this program is counted, so that the peak can be held against the samples that come out.
std::atomic<std::size_t> held_bytes = 0;
std::atomic<std::size_t> peak_bytes = 0;

void count_held(std::size_t bytes) {
    const std::size_t held = held_bytes += bytes;
    std::size_t peak = peak_bytes;
    while (peak < held && !peak_bytes.compare_exchange_weak(peak, held)) {
    }
}

}  // namespace

void* operator new(std::size_t size) {
    void* block = std::malloc(size);
    if (block == nullptr) throw std::bad_alloc();
    count_held(malloc_usable_size(block));
    return block;
}

void operator delete(void* block) noexcept {
    if (block != nullptr) held_bytes -= malloc_usable_size(block);
    std::free(block);
}

void operator delete(void* block, std::size_t) noexcept { operator delete(block); }

namespace {

using namespace revwright;

constexpr int kChannels = 60;
constexpr int kRate = 20;
constexpr int kSeconds = 3600;

enum class Shape { comma, decimal_comma, half_slow };

/// A one-hour log of 60 channels at 20 Hz with as many digits as loggers write: whole engine speeds, temperatures with
/// one decimal, pressures with two, lambda with three. In `half_slow` every second channel is sampled once a second.
std::string one_hour(Shape shape) {
    const char delimiter = shape == Shape::decimal_comma ? ';' : ',';
    std::string text = "time_s";
    for (int c = 0; c < kChannels; ++c) text += fmt::format("{}channel {} [kPa]", delimiter, c);
    std::uint64_t state = 1;  // a linear congruential generator: the same log in every run
    for (int row = 0; row < kSeconds * kRate; ++row) {
        fmt::format_to(std::back_inserter(text), "\n{:.2f}", row / double(kRate));
        for (int c = 0; c < kChannels; ++c) {
            text += delimiter;
            if (shape == Shape::half_slow && c % 2 == 1 && row % kRate != 0) continue;
            state = state * 6364136223846793005u + 1442695040888963407u;
            const double level = static_cast<double>(state >> 40) / double(1 << 24);
            if (c % 4 == 0) fmt::format_to(std::back_inserter(text), "{:.0f}", 800.0 + 6000.0 * level);
            if (c % 4 == 1) fmt::format_to(std::back_inserter(text), "{:.1f}", 130.0 * level - 10.0);
            if (c % 4 == 2) fmt::format_to(std::back_inserter(text), "{:.2f}", 90.0 + 150.0 * level);
            if (c % 4 == 3) fmt::format_to(std::back_inserter(text), "{:.3f}", 0.7 + 0.5 * level);
        }
    }
    text += '\n';
    if (shape == Shape::decimal_comma) std::ranges::replace(text, '.', ',');
    return text;
}

void read_one_hour(benchmark::State& state, Shape shape, const Workers& workers = {}) {
    const std::string text = one_hour(shape);
    std::size_t samples = 0, peak = 0;
    for (auto _ : state) {
        const std::size_t before = held_bytes;
        peak_bytes = before;
        const auto log = csv::read(text, "bench.csv", workers);
        if (!log) return state.SkipWithError(log.error().what.c_str());
        peak = peak_bytes - before;
        samples = log->time_bases.front().seconds.size();
        for (const Channel& channel : log->channels) samples += channel.values.size();
        benchmark::DoNotOptimize(log);
    }
    state.SetBytesProcessed(state.iterations() * std::ssize(text));
    state.counters["memory_ratio"] = static_cast<double>(peak) / static_cast<double>(samples * sizeof(double));
    state.counters["samples"] = static_cast<double>(samples);
}
void BM_ReadCsv(benchmark::State& state) { read_one_hour(state, Shape::comma); }
void BM_ReadCsvDecimalComma(benchmark::State& state) { read_one_hour(state, Shape::decimal_comma); }
void BM_ReadCsvSlowChannels(benchmark::State& state) { read_one_hour(state, Shape::half_slow); }
BENCHMARK(BM_ReadCsv)->Unit(benchmark::kMillisecond)->MinWarmUpTime(1.0);
BENCHMARK(BM_ReadCsvDecimalComma)->Unit(benchmark::kMillisecond);
BENCHMARK(BM_ReadCsvSlowChannels)->Unit(benchmark::kMillisecond);

double seconds_of(const std::string& text, const Workers& workers) {
    const auto begin = std::chrono::steady_clock::now();
    benchmark::DoNotOptimize(csv::read(text, "bench.csv", workers));
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

/// Counter `speedup`: the fastest of the readings with one worker over the fastest of those with two, taken in turn,
/// so that what else the machine does counts as little as it can.
void BM_ReadCsvTwoCores(benchmark::State& state) {
    const std::string text = one_hour(Shape::comma);
    app::Crew crew(2);
    double one = std::numeric_limits<double>::infinity(), two = one;
    for (auto _ : state) {
        state.PauseTiming();
        one = std::min(one, seconds_of(text, {}));
        state.ResumeTiming();
        two = std::min(two, seconds_of(text, crew.workers()));
    }
    state.SetBytesProcessed(state.iterations() * std::ssize(text));
    state.counters["speedup"] = one / two;
    state.counters["best_mb_s"] = static_cast<double>(text.size()) / two * 1e-6;
}
BENCHMARK(BM_ReadCsvTwoCores)->Unit(benchmark::kMillisecond)->UseRealTime()->Iterations(40);

/// What merely copying the same bytes costs.
void BM_CopyFile(benchmark::State& state) {
    const std::string text = one_hour(Shape::comma);
    std::string copy(text.size(), '\0');
    for (auto _ : state) {
        std::memcpy(copy.data(), text.data(), text.size());
        benchmark::ClobberMemory();
    }
    state.SetBytesProcessed(state.iterations() * std::ssize(text));
}
BENCHMARK(BM_CopyFile)->Unit(benchmark::kMillisecond);

void BM_WriteCsv(benchmark::State& state) {
    const auto log = csv::read(one_hour(Shape::comma), "bench.csv");
    std::size_t bytes = 0;
    for (auto _ : state) bytes = csv::write(*log).size();
    state.SetBytesProcessed(state.iterations() * static_cast<std::int64_t>(bytes));
}
BENCHMARK(BM_WriteCsv)->Unit(benchmark::kMillisecond);

}  // namespace
