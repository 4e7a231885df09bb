// An image of 10 MB of text as Intel HEX and as S-record, in records of 32 and of one byte: what opening and writing it
// costs beside a plain copy of the text.
#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <string>
#include <vector>

#include "formats/ihex/reader.h"
#include "formats/srec/reader.h"
#include "image/file_bytes.h"

namespace {

using namespace revwright;

constexpr std::size_t kSize = 10'000'000;

std::string record(const char* start, const std::vector<std::uint8_t>& counted, RecordProof proof) {
    std::string line = start;
    for (const std::uint8_t byte : counted) line += fmt::format("{:02X}", byte);
    return line + fmt::format("{:02X}\n", proof_of(counted, proof));
}

std::uint8_t byte_of(std::size_t value, int place) { return static_cast<std::uint8_t>(value >> (8 * place)); }

std::string hex_file(std::size_t length) {
    std::string text;
    for (std::size_t address = 0; text.size() < kSize; address += length) {
        if (address % 0x10000 == 0)
            text += record(":", {2, 0, 0, 4, byte_of(address, 3), byte_of(address, 2)}, RecordProof::twos_complement);
        std::vector<std::uint8_t> bytes{byte_of(length, 0), byte_of(address, 1), byte_of(address, 0), 0};
        for (std::size_t i = 0; i < length; ++i) bytes.push_back(byte_of((address + i) * 2654435761u, 2));
        text += record(":", bytes, RecordProof::twos_complement);
    }
    return text + ":00000001FF\n";
}

std::string s_record_file(std::size_t length) {
    std::string text;
    for (std::size_t address = 0; text.size() < kSize; address += length) {
        std::vector<std::uint8_t> bytes{byte_of(length + 5, 0), byte_of(address, 3), byte_of(address, 2),
                                        byte_of(address, 1), byte_of(address, 0)};
        for (std::size_t i = 0; i < length; ++i) bytes.push_back(byte_of((address + i) * 2654435761u, 2));
        text += record("S3", bytes, RecordProof::ones_complement);
    }
    return text + "S70500000000FA\n";
}

void set_bytes(benchmark::State& state, const std::string& text) {
    state.SetBytesProcessed(static_cast<std::int64_t>(state.iterations()) * static_cast<std::int64_t>(text.size()));
}

template <class Read>
void open_each_time(benchmark::State& state, Read read, const std::string& text) {
    for (auto _ : state) {
        auto records = read(text, "image");
        if (!records) return state.SkipWithError(records.error().what.c_str());
        const auto image = image_of_records(*std::move(records), "image");
        if (!image) return state.SkipWithError(image.error().what.c_str());
        benchmark::DoNotOptimize(image->bytes.data());
    }
    set_bytes(state, text);
}

void BM_OpenHex(benchmark::State& state) { open_each_time(state, ihex::read, hex_file(32)); }
BENCHMARK(BM_OpenHex)->Unit(benchmark::kMillisecond);

void BM_OpenHexOfSingleBytes(benchmark::State& state) { open_each_time(state, ihex::read, hex_file(1)); }
BENCHMARK(BM_OpenHexOfSingleBytes)->Unit(benchmark::kMillisecond);

void BM_OpenSRecord(benchmark::State& state) { open_each_time(state, srec::read, s_record_file(32)); }
BENCHMARK(BM_OpenSRecord)->Unit(benchmark::kMillisecond);

void BM_OpenSRecordOfSingleBytes(benchmark::State& state) { open_each_time(state, srec::read, s_record_file(1)); }
BENCHMARK(BM_OpenSRecordOfSingleBytes)->Unit(benchmark::kMillisecond);

void BM_WriteHex(benchmark::State& state) {
    const std::string text = hex_file(32);
    auto image = image_of_records(*ihex::read(text, "image"), "image");
    for (std::uint8_t& byte : image->bytes) byte ^= 1;  // every record is written anew
    for (auto _ : state) benchmark::DoNotOptimize(file_bytes(*image));
    set_bytes(state, text);
}
BENCHMARK(BM_WriteHex)->Unit(benchmark::kMillisecond);

void BM_CopyHexText(benchmark::State& state) {
    const std::string text = hex_file(32);
    for (auto _ : state) {
        std::string copy = text;
        benchmark::DoNotOptimize(copy.data());
        benchmark::ClobberMemory();
    }
    set_bytes(state, text);
}
BENCHMARK(BM_CopyHexText)->Unit(benchmark::kMillisecond);

}  // namespace
