#include "naming/settle.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <optional>
#include <set>
#include <string>
#include <utility>

#include "core/unit.h"
#include "naming/readings.h"
#include "naming/wordings.h"

namespace revwright {
namespace {

/// Who needs whom: pedal and engine speed show when the engine idles, measured pressures tell what targets mean.
enum class Pass { basis, measured, targets };

Pass pass_of(Signal signal) {
    using enum Signal;
    constexpr std::array kBasis{engine_speed_rpm, pedal_pct, throttle_pct, ambient_pressure_kpa};
    constexpr std::array kTargets{boost_target_kpa, lambda_target, rail_pressure_target_mpa};
    if (std::ranges::count(kBasis, signal) > 0) return Pass::basis;
    return std::ranges::count(kTargets, signal) > 0 ? Pass::targets : Pass::measured;
}

/// A channel no user named, on its way.
struct Open {
    std::size_t channel = 0;
    std::vector<WordMatch> matches;
    std::string unknown_word = {};
    Pass pass = Pass::basis;
    bool done = false;
    std::string doubt = {};
    std::vector<ChannelKey> candidates = {};
};

/// What an open channel was settled as, and how well it was named.
struct Choice {
    Open* open = nullptr;
    Reading reading = {};
    Strength strength = Strength::weak;
};

std::vector<Open> open_channels(const Log& log, const UserClaims& user) {
    std::vector<bool> named(log.channels.size());
    std::set<ChannelKey> taken;
    for (const Claim& claim : user.claims) named[claim.channel] = true, taken.insert(claim.key);
    for (const std::size_t channel : user.none_of_ours) named[channel] = true;
    std::vector<Open> open;
    for (std::size_t i = 0; i < log.channels.size(); ++i) {
        if (named[i] || !may_be_ours(log.channels[i])) continue;
        const NameWords words = read_name(log.channels[i].name);
        Open entry{.channel = i, .matches = match_words(words)};
        std::erase_if(entry.matches, [&](const WordMatch& match) { return taken.contains(match.key); });
        if (entry.matches.empty()) continue;
        if (!words.unknown.empty()) entry.unknown_word = words.unknown.front();
        for (const WordMatch& match : entry.matches) entry.pass = std::max(entry.pass, pass_of(match.key.signal));
        open.push_back(std::move(entry));
    }
    return open;
}

std::string unit_text(const Reading& reading) {
    const std::string_view known = canonical_unit(reading.claim.unit);
    return std::string(known.empty() ? std::string_view(reading.claim.unit) : known) +
           (reading.claim.gauge ? " gauge" : "");
}

/// Several readings that the data do not tell apart: what they differ in.
std::string doubt_between(const std::vector<Reading>& readings) {
    const Claim& first = readings.front().claim;
    const bool one_key = std::ranges::all_of(readings, [&](const Reading& r) { return r.claim.key == first.key; });
    if (!one_key) return "its name, unit and values fit more than one";
    const bool one_unit = std::ranges::all_of(readings, [&](const Reading& r) { return r.claim.unit == first.unit; });
    if (one_unit) return "it may be absolute or gauge, and no reading with the engine off or the pedal closed tells";
    std::string units;
    for (std::size_t i = 0; i < readings.size(); ++i)
        units += (i == 0 ? "" : i + 1 == readings.size() ? " and " : ", ") + unit_text(readings[i]);
    return fmt::format("its unit is not given, and {} fit", units);
}

class Settler {
public:
    Settler(Log& log, const NamingHints& hints, double ambient_kpa, UserClaims& user)
        : log_(log), user_(user), open_(open_channels(log, user)) {
        scene_ = {.log = &log,
                  .hints = &hints,
                  .claims = &user.claims,
                  .ambient_kpa = ambient_kpa,
                  .ambient_is_known = hints.ambient_pressure_kpa.has_value()};
        for (const Claim& claim : user.claims) vote(claim);
    }

    void run() {
        for (const Pass pass : {Pass::basis, Pass::measured, Pass::targets}) {
            scene_.moments = moments_of(log_, user_.claims);
            if (pass != Pass::basis) learn_ambient();
            const auto votes = std::pair(scene_.metric_votes, scene_.imperial_votes);
            settle(pass);
            if (std::pair(scene_.metric_votes, scene_.imperial_votes) != votes)
                settle(pass);  // once more: units settled meanwhile tell which system the logger uses
        }
        report();
    }

private:
    void vote(const Claim& claim) {
        const int system = system_of(claim.unit);
        if (system > 0) ++scene_.metric_votes;
        if (system < 0) ++scene_.imperial_votes;
    }

    void learn_ambient() {
        const auto claim = std::ranges::find(user_.claims, ChannelKey{Signal::ambient_pressure_kpa, 0}, &Claim::key);
        if (claim == user_.claims.end()) return;
        const SampleSummary air = summary_of(log_.channels[claim->channel].values);
        if (air.samples == 0) return;
        scene_.ambient_kpa = claim->in_our_unit(air.middle);
        scene_.ambient_is_known = true;
    }

    bool is_taken(ChannelKey key) const { return std::ranges::count(user_.claims, key, &Claim::key) > 0; }

    /// Of several readings the one that looks typical, else the one in the system of units the logger keeps to.
    void narrow(std::vector<Reading>& readings) const {
        const auto keep = [&](auto&& wanted) {
            if (readings.size() < 2 || std::ranges::count_if(readings, wanted) != 1) return;
            std::erase_if(readings, [&](const Reading& reading) { return !wanted(reading); });
        };
        keep([](const Reading& reading) { return reading.typical; });
        const bool any_typical = std::ranges::any_of(readings, &Reading::typical);
        const bool metric = scene_.metric_votes >= 2 && scene_.imperial_votes == 0;
        const bool imperial = scene_.imperial_votes >= 2 && scene_.metric_votes == 0;
        if (!metric && !imperial) return;
        const int system = metric ? 1 : -1;
        keep([&](const Reading& r) { return system_of(r.claim.unit) == system && (r.typical || !any_typical); });
    }

    std::optional<Choice> choose(Open& open) {
        open.doubt.clear();
        open.candidates.clear();
        for (const Strength strength : {Strength::strong, Strength::second, Strength::weak}) {
            std::vector<Reading> readings;
            for (const WordMatch& match : open.matches) {
                if (match.strength != strength || is_taken(match.key)) continue;
                Readings found = readings_of(log_.channels[open.channel], open.channel, match, scene_);
                if (found.possible.empty()) {
                    if (open.doubt.empty()) open.doubt = found.why_none;
                    if (strength > Strength::weak) open.candidates.push_back(match.key);
                }
                readings.insert(readings.end(), found.possible.begin(), found.possible.end());
            }
            narrow(readings);
            if (readings.size() == 1) return Choice{&open, readings.front(), strength};
            if (readings.empty()) continue;
            open.doubt = doubt_between(readings);
            for (const Reading& reading : readings)
                if (std::ranges::count(open.candidates, reading.claim.key) == 0)
                    open.candidates.push_back(reading.claim.key);
            return std::nullopt;
        }
        ask(open);
        return std::nullopt;
    }

    /// Names that say too little to be taken, or hold a word we do not know: offered, where unit and values allow.
    void ask(Open& open) {
        for (const WordMatch& match : open.matches) {
            if (match.strength != Strength::ask || is_taken(match.key)) continue;
            if (readings_of(log_.channels[open.channel], open.channel, match, scene_).possible.empty()) continue;
            open.candidates.push_back(match.key);
            if (open.doubt.empty())
                open.doubt = open.unknown_word.empty()
                                 ? "its name does not say it clearly enough"
                                 : fmt::format("the word \"{}\" in its name is not known", open.unknown_word);
        }
    }

    bool same_samples(std::size_t a, std::size_t b) const {
        const Channel &x = log_.channels[a], &y = log_.channels[b];
        if (x.time_base != y.time_base || x.unit_in_log != y.unit_in_log) return false;
        const SampleSummary all = summary_of(x.values);
        const double band = 0.002 * std::max(all.high - all.low, 0.0);
        std::size_t apart = 0;
        for (std::size_t i = 0; i < x.values.size(); ++i)
            if (std::abs(x.values[i] - y.values[i]) > band) ++apart;  // a blank is no difference
        return apart * 100 <= x.values.size();
    }

    /// The best named of the channels that read as one key; nothing where two are named as well and differ.
    Choice* best_of(std::vector<Choice*>& rivals) {
        std::ranges::sort(rivals, [](const Choice* x, const Choice* y) {
            return std::pair(y->strength, x->open->channel) < std::pair(x->strength, y->open->channel);
        });
        for (std::size_t i = 1; i < rivals.size() && rivals[i]->strength == rivals[0]->strength; ++i)
            if (!same_samples(rivals[0]->open->channel, rivals[i]->open->channel)) {
                for (Choice* rival : rivals)
                    if (rival->strength == rivals[0]->strength) doubt_rival(*rival, rivals);
                return nullptr;
            }
        return rivals[0];
    }

    void doubt_rival(const Choice& rival, const std::vector<Choice*>& rivals) {
        const auto other = std::ranges::find_if(rivals, [&](const Choice* c) { return c->open != rival.open; });
        rival.open->candidates = {rival.reading.claim.key};
        rival.open->doubt = fmt::format("the channel {} fits as well", log_.channels[(*other)->open->channel].name);
    }

    void settle(Pass pass) {
        std::vector<Choice> choices;
        for (Open& open : open_)
            if (!open.done && open.pass <= pass)
                if (auto choice = choose(open)) choices.push_back(std::move(*choice));
        std::vector<ChannelKey> keys;
        for (const Choice& choice : choices) keys.push_back(choice.reading.claim.key);
        std::ranges::sort(keys);
        keys.erase(std::ranges::unique(keys).begin(), keys.end());
        for (const ChannelKey key : keys) {
            std::vector<Choice*> rivals;
            for (Choice& choice : choices)
                if (choice.reading.claim.key == key) rivals.push_back(&choice);
            if (const Choice* best = best_of(rivals)) take(*best);
        }
    }

    void take(const Choice& choice) {
        choice.open->done = true;
        vote(choice.reading.claim);
        if (!choice.reading.note.empty()) log_.lost.push_back(choice.reading.note);
        user_.claims.push_back(choice.reading.claim);
    }

    void report() {
        for (Open& open : open_) {
            if (open.done) continue;
            std::erase_if(open.candidates, [&](ChannelKey key) { return is_taken(key); });
            if (open.candidates.empty()) continue;
            Channel& channel = log_.channels[open.channel];
            channel.doubt = open.doubt;
            for (const ChannelKey key : open.candidates) channel.candidates.push_back(to_string(key));
        }
    }

    Log& log_;
    UserClaims& user_;
    std::vector<Open> open_;
    NamingScene scene_;
};

}  // namespace

void settle_by_words(Log& log, const NamingHints& hints, double ambient_kpa, UserClaims& user) {
    Settler(log, hints, ambient_kpa, user).run();
}

}  // namespace revwright
