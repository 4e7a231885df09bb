#include "review/what_suffers.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"

namespace revwright {
namespace {

/// About the recording itself, not about the engine.
bool is_about_the_log(std::string_view id) { return id == "log-quality" || id == "sensor-range" || id == "coverage"; }

bool rests_on(const RunView& run, const Check& check, Signal signal) {
    for (const std::vector<Signal>& group : check.needs) {
        const auto logged = [&](Signal candidate) {
            return std::ranges::any_of(run.log().channels,
                                       [&](const Channel& c) { return c.key && c.key->signal == candidate; });
        };
        const auto first = std::ranges::find_if(group, logged);
        if (first != group.end() && *first == signal) return true;
    }
    return false;
}

bool applies(const RunView& run, const Check& check) {
    return !is_about_the_log(check.id) && (!check.boosted_only || run.job->engine.turbocharged());
}

/// 3100 -> "3,100", to the nearest ten.
std::string thousands(double rpm) {
    const long rounded = 10 * std::lround(rpm / 10.0);
    if (rounded < 1000) return std::to_string(rounded);
    return fmt::format("{},{:03}", rounded / 1000, rounded % 1000);
}

std::string where(const RunView& run, const ChannelFault& fault) {
    double from = fault.time_s, to = fault.time_s + fault.duration_s;
    if (!fault.pull) return fmt::format("from {:.1f} to {:.1f} s", from, to);
    const Pull& pull = run.pulls[*fault.pull];
    from = std::clamp(from, pull.start_s, pull.end_s), to = std::clamp(to, pull.start_s, pull.end_s);
    if (std::ranges::count(fault.channels, ChannelKey{Signal::engine_speed_rpm, 0}) > 0 && !fault.all_channels &&
        fault.kind == ChannelFault::Kind::stuck)
        return fmt::format("from {:.1f} to {:.1f} s", from, to);
    const PullView view{&run, pull};
    return fmt::format("between {} and {} rpm", thousands(view.engine_speed_at(from)),
                       thousands(view.engine_speed_at(to)));
}

}  // namespace

std::string in_words(const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i)
        text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
    return text;
}

std::string channel_names(const std::vector<ChannelKey>& channels) {
    std::vector<std::string> names;
    for (const ChannelKey key : channels) names.push_back(to_string(key));
    return in_words(names);
}

std::vector<std::string> checks_resting_on(const RunView& run, const std::vector<ChannelKey>& channels) {
    std::vector<std::string> ids;
    for (const Check& check : all_checks())
        if (applies(run, check) &&
            std::ranges::any_of(channels, [&](ChannelKey key) { return rests_on(run, check, key.signal); }))
            ids.emplace_back(check.id);
    return ids;
}

bool carries_required_check(const RunView& run, ChannelKey key) {
    constexpr std::array helpers{Signal::air_mass_flow_g_s, Signal::boost_pressure_kpa, Signal::manifold_pressure_kpa};
    if (std::ranges::find(helpers, key.signal) != helpers.end()) return true;
    return std::ranges::any_of(all_checks(), [&](const Check& check) {
        const auto has = [&](const std::vector<Signal>& group) { return std::ranges::count(group, key.signal) > 0; };
        return check.standing == Standing::required && (!check.boosted_only || run.job->engine.turbocharged()) &&
               std::ranges::any_of(check.needs, has);
    });
}

std::string what_it_makes_impossible(const RunView& run, const ChannelFault& fault) {
    const bool everything =
        fault.all_channels || std::ranges::count(fault.channels, ChannelKey{Signal::engine_speed_rpm, 0}) > 0;
    const std::vector<std::string> ids = checks_resting_on(run, fault.channels);
    if (ids.empty() && !everything) return "";
    const std::string what = everything ? "nothing" : in_words(ids);
    if (fault.whole_log) return fmt::format(", so {} can not be judged", what);
    return fmt::format(", so {} can{} be judged {}", what, everything ? "" : " not", where(run, fault));
}

}  // namespace revwright
