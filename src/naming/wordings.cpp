#include "naming/wordings.h"

#include <algorithm>
#include <optional>

#include "naming/wording_rows.h"

namespace revwright {
namespace {

struct Row {
    Signal signal;
    Strength strength;
    Notions needed, allowed;  // allowed holds the needed ones, too
};

const std::vector<Row>& rows() {
    static const std::vector<Row> made = [] {
        std::vector<Row> list;
        for (const Wording& wording : all_wordings()) {
            const Notions needed = notions_of(wording.needed);
            list.push_back({wording.signal, wording.strength, needed, needed | notions_of(wording.allowed)});
        }
        return list;
    }();
    return made;
}

bool has(const NameWords& name, std::string_view notion) { return (name.notions & notions_of(notion)).any(); }

/// Which of several: the bank of a probe, the cylinder of retard and misfires. Nothing where there is no such part.
std::optional<int> part_of(Signal signal, const NameWords& name) {
    const int most = info(signal).parts;
    if (most == 0) return 0;
    std::optional<int> part = signal == Signal::lambda ? name.bank : name.cylinder;
    if (!part) part = name.index;
    if (!part) return 0;
    if (*part < 1 || *part > most) return std::nullopt;
    return part;
}

/// One of several that has no name of its own among ours: the second bank, cylinder or probe is only asked about.
Strength strength_of_part(Signal signal, Strength strength, const NameWords& name) {
    const bool beyond_first = name.bank.value_or(1) != 1 || name.sensor.value_or(1) != 1 || name.index.value_or(1) != 1;
    const bool other_letter = name.letter != 0 && name.letter != 'a' && name.letter != 'd';
    if (info(signal).parts > 0) return other_letter ? Strength::ask : strength;
    if (beyond_first || other_letter || name.cylinder.value_or(1) != 1) return Strength::ask;
    const bool numbered = name.index || name.letter != 0 || name.cylinder || name.sensor;
    return numbered ? std::min(strength, Strength::second) : strength;
}

/// The second probe of a bank is behind the catalyst.
bool is_second_probe(Signal signal, const NameWords& name) {
    return signal == Signal::lambda && name.sensor.value_or(1) > 1;
}

WordMatch details(ChannelKey key, Strength strength, const NameWords& name) {
    WordMatch match{.key = key, .strength = strength};
    match.gauge = has(name, "relative") && info(key.signal).unit.ends_with("Pa");
    match.absolute = has(name, "absolute");
    match.air_fuel_ratio = has(name, "afr") || (notions_of("air fuel ratio") & ~name.notions).none();
    match.equivalence = has(name, "equivalence");
    if (match.equivalence) match.air_fuel_ratio = false;
    const bool at_catalyst = has(name, "catalyst"), turbine = has(name, "turbine") || has(name, "turbo");
    match.before_turbine = !(at_catalyst || (turbine && has(name, "after")));
    match.after_dead_centre = has(name, "atdc") || (has(name, "tdc") && has(name, "after"));
    return match;
}

}  // namespace

std::vector<WordMatch> match_words(const NameWords& name) {
    std::vector<WordMatch> matches;
    if (name.unknown.size() > 1) return matches;
    for (const Row& row : rows()) {
        if ((row.needed & ~name.notions).any() || (name.notions & ~row.allowed).any()) continue;
        if (is_second_probe(row.signal, name)) continue;
        const auto part = part_of(row.signal, name);
        if (!part) continue;
        const Strength strength =
            name.unknown.empty() ? strength_of_part(row.signal, row.strength, name) : Strength::ask;
        const ChannelKey key{row.signal, *part};
        const auto known = std::ranges::find(matches, key, &WordMatch::key);
        if (known == matches.end())
            matches.push_back(details(key, strength, name));
        else
            known->strength = std::max(known->strength, strength);
    }
    return matches;
}

}  // namespace revwright
