#include "formats/sheets/channel_sheet_writer.h"

#include <algorithm>
#include <fmt/format.h>
#include <string_view>

namespace revwright::sheets {
namespace {

/// A TOML basic string.
std::string toml_text(std::string_view text) {
    std::string quoted = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\')
            quoted += {'\\', c};
        else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F)
            quoted += fmt::format("\\u{:04X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
        else
            quoted += c;
    }
    return quoted + '"';
}

/// For a comment, which ends at the line's end.
std::string one_line(std::string_view text) {
    std::string line(text);
    for (char& c : line)
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) c = ' ';
    return line;
}

bool stands_twice(const Log& log, const Channel& channel) {
    return std::ranges::count_if(
               log.channels, [&](const Channel& other) { return other.name == channel.name && !other.repeated; }) > 1;
}

std::string row(const Channel& channel) {
    const ChannelRule& rule = *channel.read_as;
    std::string text =
        fmt::format("\n[[channel]]\nname = {}\nis = {}\n", toml_text(channel.name), toml_text(to_string(rule.is)));
    const std::string unit = rule.unit.empty() ? (rule.gauge ? "gauge" : "") : rule.unit + (rule.gauge ? " gauge" : "");
    if (!unit.empty()) text += fmt::format("unit = {}\n", toml_text(unit));
    if (rule.air_fuel_stoichiometric != 0.0)
        text += fmt::format("air_fuel_stoichiometric = {}\n", rule.air_fuel_stoichiometric);
    if (rule.sign != 1.0) text += "sign = -1\n";
    if (!rule.before_turbine) text += "before_turbine = false\n";
    return text;
}

std::string open_row(const Channel& channel) {
    std::string others;
    for (std::size_t i = 1; i < channel.candidates.size(); ++i) others += " or " + toml_text(channel.candidates[i]);
    const auto key = channel_key(channel.candidates.front());
    const bool is_pressure = key && info(key->signal).unit.ends_with("Pa");
    const std::string gauge = is_pressure ? " or " + toml_text(channel.unit_in_log + " gauge") : "";
    return fmt::format("\n# Open, {}.\n# [[channel]]\n# name = {}\n# is = {}{}\n# unit = {}{}\n",
                       one_line(channel.doubt), toml_text(channel.name), toml_text(channel.candidates.front()), others,
                       toml_text(channel.unit_in_log), gauge);
}

}  // namespace

std::string write_channel_sheet(const Log& log) {
    std::string text = "schema = \"revwright.channels/1\"\n";
    std::string open, rest, twice;
    for (const Channel& channel : log.channels) {
        if (channel.repeated) continue;  // a row for its name means the one that is renewed more often
        const std::string name = "\n#   " + one_line(channel.name);
        if (stands_twice(log, channel))
            twice += name;
        else if (channel.key && channel.read_as)
            text += row(channel);
        else if (!channel.candidates.empty())
            open += open_row(channel);
        else
            rest += name;
    }
    text += open;
    if (!twice.empty())
        text +=
            "\n# These names stand more than once in the log, so that a sheet cannot tell them apart:" + twice + "\n";
    if (!rest.empty()) text += "\n# None of ours, as far as their names say:" + rest + "\n";
    return text;
}

}  // namespace revwright::sheets
