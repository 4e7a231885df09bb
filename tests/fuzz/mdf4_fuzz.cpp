#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <string>
#include <string_view>

#include "formats/mdf4/reader.h"
#include "formats/mdf4/test_same_log.h"
#include "formats/mdf4/writer.h"
#include "log_promises.h"
#include "naming/naming.h"

namespace {

using namespace revwright;

/// What every log promises, and one of this format.
void check(const Log& log) {
    keeps_promises(log);
    for (const Channel& channel : log.channels) {
        must(channel.group.has_value());
        for (const double value : channel.values) {
            must(!std::isinf(value));
            if (channel.texts.empty() || std::isnan(value)) continue;
            must(value >= 0.0 && value < static_cast<double>(channel.texts.size()) && value == std::floor(value));
        }
    }
}

/// Samples that a small file may give: each takes a byte of a record at least, or a count that few bytes can repeat.
std::size_t samples_in(const Log& log) {
    std::size_t samples = 0;
    for (const Channel& channel : log.channels) samples += channel.values.size();
    return samples;
}

/// Without the groups that hold no record, which no reader can give back.
Log with_records(Log log) {
    std::erase_if(log.channels, [](const Channel& channel) { return channel.values.empty(); });
    return log;
}

void check_written(const Log& log) {
    for (const bool deflate : {false, true}) {
        const auto bytes = mdf4::write(log, {.deflate = deflate});
        const auto again = mdf4::read(bytes, "again.mf4");
        if (!again) std::fprintf(stderr, "%s\n", again.error().what.c_str());
        must(again.has_value());
        check(*again);
        const std::string differs = mdf4::difference(log, *again);
        if (!differs.empty()) std::fprintf(stderr, "%s\n", differs.c_str());
        must(differs.empty());
    }
}

}  // namespace

// Any bytes may be refused; none may crash, hang, take memory without end or make a log that breaks its promises. What
// was read, written and read again is the same log.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    // Workers that take their tasks from the last to the first, so that whoever relies on their order is found out.
    const Workers backwards{1 + size % 3, [](std::size_t tasks, const Workers::Task& task) {
                                for (std::size_t i = tasks; i-- > 0;) task(i);
                            }};
    auto log = mdf4::read({data, size}, "fuzz.mf4", backwards);
    if (!log) {
        must(!log.error().what.empty());
        must(log.error().place.has_value());
        return 0;
    }
    must(mdf4::looks_like({data, size}));
    check(*log);
    if (samples_in(*log) > 200'000) return 0;  // read, and that is enough: this must not be slow
    const Log whole = with_records(*std::move(log));
    if (!whole.channels.empty()) check_written(whole);
    if (const auto named = name_channels(whole, nullptr)) check(*named);
    return 0;
}
