#include "app/parameter_quantities.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>

#include "image/parameter_units.h"
#include "naming/name_words.h"
#include "naming/wordings.h"

namespace revwright::app {
namespace {

using Key = std::optional<ChannelKey>;

bool absolute_by_nature(Signal signal) { return signal == Signal::ambient_pressure_kpa; }

bool outright(const WordMatch& match, std::string_view unit) {
    if (match.strength != Strength::strong || !to_channel_unit(unit, match.key)) return false;
    if (match.gauge || match.air_fuel_ratio || match.equivalence || match.after_dead_centre || !match.before_turbine)
        return false;
    const bool pressure = info(match.key.signal).unit.ends_with("Pa");
    return !pressure || match.absolute || absolute_by_nature(match.key.signal);
}

/// The channels that the words of a text mean outright.
std::set<ChannelKey> channels_of(std::string_view text, std::string_view unit) {
    std::set<ChannelKey> keys;
    for (const WordMatch& match : match_words(read_name(text)))
        if (outright(match, unit)) keys.insert(match.key);
    return keys;
}

/// One channel, where name and long identifier do not contradict each other.
Key by_words(std::string_view name, std::string_view explained, std::string_view unit) {
    if (const Key canonical = channel_key(name); canonical && to_channel_unit(unit, *canonical)) return canonical;
    std::set<ChannelKey> keys = channels_of(name, unit);
    keys.merge(channels_of(explained, unit));
    return keys.size() == 1 ? Key(*keys.begin()) : std::nullopt;
}

/// Finds the channel of one thing; words are read once per distinct text, since many axes have one input.
class Finder {
public:
    Finder(const ParameterSet& set, const ImageEntry& entry) : set_(set), entry_(entry) {}

    Result<Key> cells(const ParameterDescription& parameter) {
        return named(parameter.unit, {parameter.name}, parameter.name, parameter.explained);
    }

    Result<Key> axis(const ParameterDescription& parameter, std::size_t d) {
        const ParameterAxis& axis = parameter.axes[d];
        const auto input = set_.inputs.find(axis.input);
        const std::string_view explained = input == set_.inputs.end() ? std::string_view() : input->second.explained;
        return named(axis.unit, {fmt::format("{}.axis{}", parameter.name, d), axis.input, axis.shared}, axis.input,
                     explained);
    }

    /// A key of the sheet that nothing has.
    std::optional<std::string> unused() const {
        for (const auto& [key, channel] : entry_.quantities)
            if (!used_.contains(key)) return key;
        return std::nullopt;
    }

private:
    /// What the sheet says by the first of the keys that it holds; all of them name something.
    std::map<std::string, ChannelKey>::const_iterator said_of(std::initializer_list<std::string> keys) {
        auto first = entry_.quantities.end();
        for (const std::string& key : keys) {
            const auto said = entry_.quantities.find(key);
            if (key.empty() || said == entry_.quantities.end()) continue;
            used_.insert(key);
            if (first == entry_.quantities.end()) first = said;
        }
        return first;
    }

    Result<Key> named(const std::string& unit, std::initializer_list<std::string> keys, std::string_view name,
                      std::string_view explained) {
        const auto said = said_of(keys);
        if (said != entry_.quantities.end()) {
            const std::string& key = said->first;
            if (to_channel_unit(unit, said->second)) return said->second;
            return refuse(fmt::format(
                "image.quantities says {} is {}, but the description gives it {}, which can not be "
                "turned into {}",
                key, to_string(said->second), unit.empty() ? "no unit" : "in " + unit, info(said->second.signal).unit));
        }
        // Words are slow to read, and mean nothing without a unit of ours.
        if (unit.find_first_not_of(' ') != std::string::npos && !known_unit(unit)) return Key();
        const std::string text = fmt::format("{}\n{}\n{}", name, explained, unit);
        const auto [known, fresh] = by_words_.try_emplace(text);
        if (fresh) known->second = by_words(name, explained, unit);
        return known->second;
    }

    const ParameterSet& set_;
    const ImageEntry& entry_;
    std::set<std::string, std::less<>> used_;
    std::map<std::string, Key> by_words_;
};

}  // namespace

Result<std::vector<ParameterQuantities>> parameter_quantities(const ParameterSet& set, const ImageEntry& entry,
                                                              const std::string& job_file) {
    Finder finder(set, entry);
    std::vector<ParameterQuantities> all;
    all.reserve(set.parameters.size());
    const auto at_sheet = [&](const Error& error) { return fail(error.fault, error.what, Place{job_file}); };
    for (const ParameterDescription& parameter : set.parameters) {
        ParameterQuantities& quantities = all.emplace_back();
        auto cells = finder.cells(parameter);
        if (!cells) return at_sheet(cells.error());
        quantities.cells = *cells;
        for (std::size_t d = 0; d < parameter.axes.size(); ++d) {
            auto axis = finder.axis(parameter, d);
            if (!axis) return at_sheet(axis.error());
            quantities.axes.push_back(*axis);
        }
    }
    if (const auto unused = finder.unused())
        return refuse(
            fmt::format("image.quantities names {}, which {} has neither as a table nor as the input of an axis",
                        *unused, set.file),
            Place{job_file});
    return all;
}

}  // namespace revwright::app
