#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <string>
#include <string_view>

#include "formats/csv/exact_text.h"
#include "formats/csv/reader.h"
#include "formats/csv/writer.h"
#include "log_promises.h"
#include "naming/naming.h"

namespace {

using namespace revwright;

/// What every log promises, and one of this format.
void check(const Log& log) {
    keeps_promises(log);
    for (const Channel& channel : log.channels) {
        must(!channel.name.empty());
    }
}

/// Bit for bit, NaN included: reading what was written must lose no sample.
std::size_t samples_in(const Log& log) {
    std::size_t samples = 0;
    for (const Channel& channel : log.channels)
        for (const double value : channel.values) samples += std::isfinite(value) ? 1 : 0;
    return samples;
}

ChannelSheet sheet() {
    return {"sheet.toml",
            {{.name = "a", .is = {Signal::boost_pressure_kpa, 0}, .unit = "bar", .gauge = true},
             {.name = "b", .is = {Signal::knock_retard_deg, 1}, .sign = -1.0},
             {.name = "c", .is = {Signal::coolant_temp_c, 0}},
             {.name = "p", .is = {Signal::ambient_pressure_kpa, 0}, .unit = "hPa"}}};
}

/// The quick reader gives what the simple one gives, wherever the rows are cut and whoever reads the pieces.
void check_ways(const Result<Log>& quick, std::string_view text) {
    const std::size_t piece = 1 + text.size() * 31 % 200;
    const Workers backwards{1 + piece % 7, [](std::size_t tasks, const Workers::Task& task) {
                                for (std::size_t i = tasks; i-- > 0;) task(i);
                            }};
    const std::string exactly = csv::exact_text(quick);
    must(exactly == csv::exact_text(csv::read_simply(text, "fuzz.csv")));
    must(exactly == csv::exact_text(csv::read_in_pieces(text, "fuzz.csv", piece, backwards)));
}

}  // namespace

// Any bytes may be refused; none may crash, hang or make a log that breaks its promises. What was read, written and
// read again is the same log.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view bytes(reinterpret_cast<const char*>(data), size);
    const auto log = csv::read(bytes, "fuzz.csv");
    check_ways(log, bytes);
    if (!log) {
        must(!log.error().what.empty());
        return 0;
    }
    check(*log);
    const std::string text = csv::write(*log);
    const auto again = csv::read(text, "fuzz.csv");
    must(again.has_value());
    check(*again);
    must(samples_in(*again) == samples_in(*log));
    must(again->channels.size() == log->channels.size());
    must(csv::write(*again) == text);

    if (const auto named = name_channels(*log, nullptr)) check(*named);
    const ChannelSheet settled = sheet();
    if (const auto named = name_channels(*log, &settled)) {
        check(*named);
        must(!csv::write(*named).empty());
    }
    return 0;
}
