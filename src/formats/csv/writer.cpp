#include "formats/csv/writer.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <limits>

namespace revwright::csv {
namespace {

/// A cell for any text: quoted where a reader would split, trim or unquote it; control characters become blanks.
std::string text_cell(std::string text) {
    std::ranges::replace_if(text, [](char c) { return c == '\n' || c == '\r' || c == '\0' || c == '\t'; }, ' ');
    if (text.find_first_of(",;\"") == std::string::npos) return text;
    std::string quoted = "\"";
    for (const char c : text) {
        if (c == '"') quoted += '"';
        quoted += c;
    }
    return quoted + '"';
}

std::string header_cell(const Channel& channel) {
    if (channel.key) {
        const std::string_view canonical = info(channel.key->signal).unit;
        const bool plain = channel.unit.empty() || channel.unit == canonical;
        return text_cell(plain ? to_string(*channel.key)
                               : fmt::format("{} [{}]", to_string(*channel.key), channel.unit));
    }
    if (!channel.unit.empty()) return text_cell(fmt::format("{} [{}]", channel.name, channel.unit));
    // Empty brackets keep a name that ends in brackets from being read as one with a unit.
    const bool bracketed = channel.name.ends_with(']') || channel.name.ends_with(')');
    return text_cell(channel.name + (bracketed ? " []" : ""));
}

class LogWriter {
public:
    LogWriter(const Log& log, const WriteOptions& options)
        : log_(log), options_(options), next_(log.time_bases.size()) {}

    std::string text() {
        out_ += "time_s";
        for (const Channel& channel : log_.channels) out_ += ',', out_ += header_cell(channel);
        out_ += '\n';
        for (double now = earliest(); std::isfinite(now); now = earliest()) {
            write_row(now);
            for (std::size_t base = 0; base < next_.size(); ++base)
                if (is_due(base, now)) ++next_[base];
        }
        return std::move(out_);
    }

private:
    double earliest() const {
        double time = std::numeric_limits<double>::infinity();
        for (std::size_t base = 0; base < next_.size(); ++base)
            if (next_[base] < log_.time_bases[base].seconds.size())
                time = std::min(time, log_.time_bases[base].seconds[next_[base]]);
        return time;
    }

    bool is_due(std::size_t base, double now) const {
        const std::vector<double>& seconds = log_.time_bases[base].seconds;
        return next_[base] < seconds.size() && seconds[next_[base]] == now;
    }

    void write_row(double now) {
        fmt::format_to(std::back_inserter(out_), "{}", now);
        for (std::size_t i = 0; i < log_.channels.size(); ++i) {
            const Channel& channel = log_.channels[i];
            out_ += ',';
            if (!is_due(channel.time_base, now)) continue;
            const double value = channel.values[next_[channel.time_base]];
            if (std::isfinite(value)) write_number(value, i < options_.decimals.size() ? options_.decimals[i] : -1);
        }
        out_ += '\n';
    }

    void write_number(double value, int decimals) {
        if (decimals < 0)
            fmt::format_to(std::back_inserter(out_), "{}", value);
        else
            fmt::format_to(std::back_inserter(out_), "{:.{}f}", value, decimals);
    }

    const Log& log_;
    const WriteOptions& options_;
    std::vector<std::size_t> next_;  // per time base, the sample to be written next
    std::string out_;
};

}  // namespace

std::string write(const Log& log, const WriteOptions& options) { return LogWriter(log, options).text(); }

}  // namespace revwright::csv
