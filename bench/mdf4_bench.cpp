#include <algorithm>
#include <benchmark/benchmark.h>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <libdeflate.h>
#include <malloc.h>
#include <memory>
#include <new>
#include <vector>

#include "app/crew.h"
#include "formats/mdf4/reader.h"
#include "formats/mdf4/test_blocks.h"

namespace {

// Freed memory is kept for the next round: what the system takes for fresh pages is no part of the reader's speed. On a
// guest of a busy host it may be ten times as much.
[[maybe_unused]] const bool kKeepsMemory = mallopt(M_MMAP_MAX, 0) != 0 && mallopt(M_TRIM_THRESHOLD, 2'000'000'000) != 0;

// Every allocation of this program is counted, so that the peak can be held against the samples that come out.
std::size_t held_bytes = 0;
std::size_t peak_bytes = 0;

}  // namespace

[[gnu::noinline]] void* operator new(std::size_t size) {
    void* block = std::malloc(size);
    if (block == nullptr) throw std::bad_alloc();
    held_bytes += malloc_usable_size(block);
    peak_bytes = std::max(peak_bytes, held_bytes);
    return block;
}

[[gnu::noinline]] void operator delete(void* block) noexcept {
    if (block != nullptr) held_bytes -= malloc_usable_size(block);
    std::free(block);
}

[[gnu::noinline]] void operator delete(void* block, std::size_t) noexcept { operator delete(block); }

namespace {

using namespace revwright;
using namespace revwright::mdf4::blocks;

constexpr std::size_t kChannels = 40;  // a quarter each: floats of 32 and 64 bits, scaled whole numbers of 16 and 32
constexpr std::uint32_t kRecord = 8 + 10 * 4 + 10 * 8 + 10 * 2 + 10 * 4;
constexpr std::size_t kListed = 4 << 20;  // bytes of a deflated block, as the standard advises

/// Signals of a drive: slow waves with the last digits moving, as sensors have them.
std::vector<std::uint8_t> records(std::size_t count) {
    std::vector<std::uint8_t> bytes(count * kRecord);
    std::uint64_t state = 1;  // a linear congruential generator: the same log in every run
    std::uint8_t* to = bytes.data();
    const auto put = [&](auto value) {
        std::memcpy(to, &value, sizeof(value));
        to += sizeof(value);
    };
    for (std::size_t i = 0; i < count; ++i) {
        put(static_cast<double>(i) * 0.01);
        state = state * 6364136223846793005u + 1442695040888963407u;
        const double wave =
            2000.0 + 1500.0 * std::sin(static_cast<double>(i) * 0.002) + static_cast<double>(state >> 61);
        for (std::size_t c = 0; c < 10; ++c) put(static_cast<float>(std::floor(wave + static_cast<double>(c)) * 0.25));
        for (std::size_t c = 0; c < 10; ++c) put(std::floor(wave * static_cast<double>(c + 1)) * 0.125);
        for (std::size_t c = 0; c < 10; ++c) put(static_cast<std::uint16_t>(wave + static_cast<double>(7 * c)));
        for (std::size_t c = 0; c < 10; ++c) put(static_cast<std::int32_t>(wave * static_cast<double>(100 + c)));
    }
    return bytes;
}

SimpleFile head(std::size_t count) {
    auto simple = simple_file(count, kRecord);
    Composer& file = simple.file;
    const At scale = file.conversion({.type = 1, .values = {-40, 0.25}});
    std::uint32_t at = 8;
    for (std::size_t c = 0; c < kChannels; ++c) {
        constexpr unsigned kTypes[] = {kFloat, kFloat, kUnsigned, kSigned};
        constexpr std::uint32_t kBits[] = {32, 64, 16, 32};
        file.chain(simple.channel_group, Composer::kChannelOfGroup,
                   file.channel({.data_type = kTypes[c / 10],
                                 .byte_offset = at,
                                 .bit_count = kBits[c / 10],
                                 .name = file.text("channel " + std::to_string(c)),
                                 .conversion = c < 20 ? 0 : scale}));
        at += kBits[c / 10] / 8;
    }
    return simple;
}

/// About 200 MB, records as they are.
std::vector<std::uint8_t> plain_file(std::size_t count) {
    auto simple = head(count);
    const At data = simple.file.data("DT", {});
    simple.file.set_link(simple.group, Composer::kDataOfData, data);
    simple.file.set(data + 8, Raw().u64(24 + count * kRecord));
    std::vector<std::uint8_t> bytes = simple.file.bytes();
    const auto all = records(count);
    bytes.insert(bytes.end(), all.begin(), all.end());
    return bytes;
}

std::vector<std::uint8_t> deflated_file(std::size_t count, bool transposed) {
    auto simple = head(count);
    const auto all = records(count);
    std::vector<At> parts;
    std::vector<std::uint64_t> offsets;
    for (std::size_t from = 0; from < all.size(); from += kListed) {
        const auto part = std::span(all).subspan(from, std::min(kListed, all.size() - from));
        parts.push_back(simple.file.deflated("DT", Raw().raw(part), transposed ? kRecord : 0));
        offsets.push_back(from);
    }
    simple.file.set_link(simple.group, Composer::kDataOfData,
                         simple.file.header_list(simple.file.data_list(parts, offsets)));
    return simple.file.bytes();
}

void read_file(benchmark::State& state, const std::vector<std::uint8_t>& bytes, std::size_t of_records,
               const Workers& workers = {}) {
    std::size_t samples = 0, peak = 0;
    for (auto _ : state) {
        const std::size_t before = held_bytes;
        peak_bytes = held_bytes;
        const auto log = mdf4::read(bytes, "bench.mf4", workers);
        if (!log) return state.SkipWithError(log.error().what.c_str());
        peak = peak_bytes - before;
        samples = log->time_bases.front().seconds.size();
        for (const Channel& channel : log->channels) samples += channel.values.size();
        benchmark::DoNotOptimize(log);
    }
    state.SetBytesProcessed(state.iterations() * static_cast<std::int64_t>(of_records));
    state.counters["memory_ratio"] = static_cast<double>(peak) / static_cast<double>(samples * sizeof(double));
    state.counters["samples"] = static_cast<double>(samples);
}

constexpr std::size_t kPlainRecords = 200'000'000 / kRecord, kDeflatedRecords = 40'000'000 / kRecord;

const std::vector<std::uint8_t>& plain_bytes() {
    static const auto bytes = plain_file(kPlainRecords);
    return bytes;
}

/// Bytes of the file.
void BM_ReadMdf4(benchmark::State& state) {
    const auto& bytes = plain_bytes();
    read_file(state, bytes, bytes.size());
}
BENCHMARK(BM_ReadMdf4)->Unit(benchmark::kMillisecond)->MinWarmUpTime(1.5);

void BM_CopyMdf4(benchmark::State& state) {
    const auto& bytes = plain_bytes();
    for (auto _ : state) {
        const std::unique_ptr<std::uint8_t[]> copy(new std::uint8_t[bytes.size()]);
        std::memcpy(copy.get(), bytes.data(), bytes.size());
        benchmark::DoNotOptimize(copy.get());
        benchmark::ClobberMemory();
    }
    state.SetBytesProcessed(state.iterations() * std::ssize(bytes));
}
BENCHMARK(BM_CopyMdf4)->Unit(benchmark::kMillisecond);

/// Bytes of the records once inflated.
void BM_ReadMdf4Deflate(benchmark::State& state) {
    static const auto bytes = deflated_file(kDeflatedRecords, false);
    read_file(state, bytes, kDeflatedRecords * kRecord);
}
BENCHMARK(BM_ReadMdf4Deflate)->Unit(benchmark::kMillisecond);

void BM_ReadMdf4Transposed(benchmark::State& state) {
    static const auto bytes = deflated_file(kDeflatedRecords, true);
    read_file(state, bytes, kDeflatedRecords * kRecord);
}
BENCHMARK(BM_ReadMdf4Transposed)->Unit(benchmark::kMillisecond);

/// As the commands read: with a thread for each of two processors.
void read_with_two(benchmark::State& state, bool transposed) {
    const auto bytes = deflated_file(kDeflatedRecords, transposed);
    app::Crew crew(2);
    read_file(state, bytes, kDeflatedRecords * kRecord, crew.workers());
}
void BM_ReadMdf4DeflateTwoCores(benchmark::State& state) { read_with_two(state, false); }
void BM_ReadMdf4TransposedTwoCores(benchmark::State& state) { read_with_two(state, true); }
BENCHMARK(BM_ReadMdf4DeflateTwoCores)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(BM_ReadMdf4TransposedTwoCores)->Unit(benchmark::kMillisecond)->UseRealTime();

/// The same blocks through the inflate library alone, into one buffer.
void inflate_only(benchmark::State& state, bool transposed) {
    const auto bytes = deflated_file(kDeflatedRecords, transposed);
    std::vector<std::uint8_t> buffer(kListed);
    libdeflate_decompressor* const inflater = libdeflate_alloc_decompressor();
    for (auto _ : state)
        for (std::size_t i = 64; i + 48 < bytes.size(); i += 8) {
            if (std::memcmp(bytes.data() + i, "##DZ", 4) != 0) continue;
            std::uint64_t stored = 0;
            std::memcpy(&stored, bytes.data() + i + 40, 8);
            std::size_t length = 0;
            if (libdeflate_zlib_decompress(inflater, bytes.data() + i + 48, stored, buffer.data(), buffer.size(),
                                           &length) != LIBDEFLATE_SUCCESS)
                state.SkipWithError("a block does not inflate");
            i += (48 + stored) / 8 * 8 - 8;
            benchmark::DoNotOptimize(buffer.data());
        }
    libdeflate_free_decompressor(inflater);
    state.SetBytesProcessed(state.iterations() * static_cast<std::int64_t>(kDeflatedRecords * kRecord));
}
void BM_InflateOnly(benchmark::State& state) { inflate_only(state, false); }
void BM_InflateOnlyTransposed(benchmark::State& state) { inflate_only(state, true); }
BENCHMARK(BM_InflateOnly)->Unit(benchmark::kMillisecond);
BENCHMARK(BM_InflateOnlyTransposed)->Unit(benchmark::kMillisecond);

}  // namespace
