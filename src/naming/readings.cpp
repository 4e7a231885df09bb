#include "naming/readings.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <optional>

#include "core/unit.h"
#include "naming/envelopes.h"
#include "naming/lambda_scale.h"
#include "naming/logged_unit.h"
#include "naming/road_speed.h"

namespace revwright {
namespace {

// Our choice, common practice, no source.
// With the engine off a sensor reads the air around. A gauge sensor reads 0 then wherever it is; an absolute one what
// the place has, up to some 3,000 m where that is not known.
constexpr double kOffBandKpa = 12.0, kGaugeOffBandKpa = 5.0, kGaugeClosedHighestKpa = 8.0;
constexpr double kThinnestAirKpa = 68.0, kThickestAirKpa = 108.0;
constexpr double kTargetBandKpa = 40.0;  // at full load the target is that near to what was measured
constexpr double kSparkTurnedDeg =
    -8.0;  // spark at part load is advanced: a middle below this is counted the other way
constexpr double kSparkAdvancedDeg = 3.0;  // and above this as ours
constexpr std::size_t kFewestSamples = 5;

bool is_pressure(Signal signal) { return info(signal).unit.ends_with("Pa"); }
bool is_temperature(Signal signal) { return info(signal).unit == "C"; }
bool is_mixture(Signal signal) { return signal == Signal::lambda || signal == Signal::lambda_target; }
bool is_trim(Signal signal) { return signal == Signal::trim_short_pct || signal == Signal::trim_long_pct; }

/// Where the log must tell gauge from absolute. A rail's pressure is so high that it hardly matters.
bool reference_is_open(Signal signal) {
    using enum Signal;
    constexpr std::array kOpen{manifold_pressure_kpa, boost_pressure_kpa, boost_target_kpa, exhaust_pressure_kpa};
    return std::ranges::count(kOpen, signal) > 0;
}

std::vector<std::string> words_of(std::string_view text) {
    std::vector<std::string> words(1);
    for (const char c : text) {
        if (c == ' ')
            words.emplace_back();
        else
            words.back() += c;
    }
    return words;
}

/// The channel read one way: values in our unit, absolute.
struct View {
    const Claim* claim;
    double gauge_offset;
    double operator()(double sample) const { return claim->in_our_unit(sample) + gauge_offset; }
    /// Lowest and highest, whichever way round the unit counts.
    std::pair<double, double> span(const SampleSummary& values) const {
        return std::minmax({(*this)(values.low), (*this)(values.high)});
    }
};

View view_of(const Claim& claim, const NamingScene& scene) {
    const auto from_kpa = claim.gauge ? conversion("kPa", info(claim.key.signal).unit) : std::nullopt;
    return {&claim, from_kpa ? (*from_kpa)(scene.ambient_kpa) : 0.0};
}

class Judge {
public:
    Judge(const Channel& channel, const NamingScene& scene, const SignalEnvelope& envelope)
        : channel_(channel),
          scene_(scene),
          envelope_(envelope),
          all_(summary_of(channel.values)),
          off_(in(scene.moments.off)),
          closed_(in(scene.moments.closed)),
          idle_(in(scene.moments.idle)) {}

    const SampleSummary& all() const { return all_; }
    SampleSummary in(const Stretches& stretches) const { return summary_in(scene_.log->series(channel_), stretches); }

    bool is_possible(const View& view) const {
        const auto [low, high] = view.span(all_);
        return low >= envelope_.lowest && high <= envelope_.highest;
    }

    bool is_typical(const View& view) const {
        const double high = view.span(all_).second;
        if (high < envelope_.top_from || high > envelope_.top_to) return false;
        const SampleSummary& idle = is_pressure(envelope_.signal) ? closed_ : idle_;
        if (envelope_.idle_to == 0.0 || idle.samples < kFewestSamples) return true;
        const double at_idle = view(idle.middle);
        return at_idle >= envelope_.idle_from && at_idle <= envelope_.idle_to;
    }

    /// Whether engine off and closed pedal speak for this reading; nothing where the log shows neither.
    std::optional<bool> fits_at_rest(const View& view) const {
        if (envelope_.signal == Signal::boost_target_kpa) return fits_what_it_asks(view);
        std::optional<bool> fits;
        if (off_.samples >= kFewestSamples) fits = is_air_around(view, view(off_.middle));
        if (closed_.samples >= kFewestSamples) {
            const double at_rest = view(closed_.middle);
            fits = fits.value_or(true) && at_rest >= envelope_.idle_from && at_rest <= envelope_.idle_to &&
                   (!view.claim->gauge || at_rest <= scene_.ambient_kpa + kGaugeClosedHighestKpa);
        }
        return fits;
    }

private:
    bool is_air_around(const View& view, double kpa) const {
        if (view.claim->gauge) return std::abs(kpa - scene_.ambient_kpa) <= kGaugeOffBandKpa;
        if (scene_.ambient_is_known) return std::abs(kpa - scene_.ambient_kpa) <= kOffBandKpa;
        return kpa >= kThinnestAirKpa && kpa <= kThickestAirKpa;
    }

    /// A target has no reading at rest that can be relied on; at full load it is near to what is measured.
    std::optional<bool> fits_what_it_asks(const View& view) const {
        const SampleSummary asked = in(scene_.moments.full);
        if (asked.samples < kFewestSamples) return std::nullopt;
        for (const Signal signal : {Signal::boost_pressure_kpa, Signal::manifold_pressure_kpa}) {
            const auto claim = std::ranges::find(*scene_.claims, ChannelKey{signal, 0}, &Claim::key);
            if (claim == scene_.claims->end()) continue;
            const Channel& measured = scene_.log->channels[claim->channel];
            const SampleSummary had = summary_in(scene_.log->series(measured), scene_.moments.full);
            if (had.samples < kFewestSamples) continue;
            return std::abs(view(asked.middle) - view_of(*claim, scene_)(had.middle)) <= kTargetBandKpa;
        }
        return std::nullopt;
    }

    const Channel& channel_;
    const NamingScene& scene_;
    const SignalEnvelope& envelope_;
    SampleSummary all_, off_, closed_, idle_;
};

/// The units to try, or why none fits.
std::vector<std::string> units_to_try(const LoggedUnit& logged, const std::string& text, const SignalEnvelope& envelope,
                                      std::string& why_none) {
    const std::string_view canonical = info(envelope.signal).unit;
    const bool ambiguous_degree = is_temperature(envelope.signal) && conversion(text, "deg");
    const bool grad = text == "Grad" || text == "grad" || text == "GRAD";
    const bool counts_in_words = logged.unreadable && canonical == "1";
    const bool fits_grad = grad && (is_temperature(envelope.signal) || canonical == "deg");
    if (!logged.unit.empty() && conversion(logged.unit, canonical) && !ambiguous_degree) return {logged.unit};
    if (ambiguous_degree || fits_grad || counts_in_words || (logged.unit.empty() && !logged.unreadable))
        return words_of(envelope.units);
    why_none = fmt::format("its unit {} does not measure {}", text, info(envelope.signal).name);
    return {};
}

std::vector<bool> references_to_try(const LoggedUnit& logged, const WordMatch& match) {
    const Signal signal = match.key.signal;
    if (!is_pressure(signal) || signal == Signal::ambient_pressure_kpa) return {false};
    if (match.gauge || logged.reference == Reference::gauge) return {true};
    if (match.absolute || logged.reference == Reference::absolute || !reference_is_open(signal)) return {false};
    return {false, true};
}

/// A trim may be written as a factor about 1, or per cent about 100.
void read_trim_scale(const Judge& judge, Claim& claim) {
    const SampleSummary& all = judge.all();
    if (all.low > 0.5 && all.high < 1.6 && claim.unit == "%") claim.unit = kFactorAboutOne;
    if (all.low > 50.0 && all.high < 160.0) claim.unit = kPercentAboutHundred;
}

/// Which way the spark is counted, or why that is not known.
std::string read_spark_sign(const Judge& judge, const WordMatch& match, const NamingScene& scene, Reading& reading) {
    if (match.after_dead_centre) {
        reading.claim.sign = -1.0;
        return "";
    }
    const SampleSummary part = judge.in(scene.moments.part);
    if (part.samples < kFewestSamples || part.middle >= kSparkAdvancedDeg) return "";
    if (part.middle > kSparkTurnedDeg)
        return fmt::format("its middle value at part load, {:.1f}, does not show which way it is counted", part.middle);
    reading.claim.sign = -1.0;
    reading.note = "spark is negative at part load: turned round, before top dead centre is positive";
    return "";
}

std::string span_text(const SampleSummary& all, const std::string& unit) {
    return fmt::format("its values from {:.4g} to {:.4g}{}{}", all.low, all.high, unit.empty() ? "" : " ", unit);
}

/// All units and references that the values allow.
Readings pressures_and_plain(const Channel& channel, const WordMatch& match, const Judge& judge,
                             const NamingScene& scene, const Claim& start, const LoggedUnit& logged,
                             const SignalEnvelope& envelope) {
    Readings found;
    const auto units = units_to_try(logged, channel.unit_in_log, envelope, found.why_none);
    const auto references = references_to_try(logged, match);
    bool refused_at_rest = false;
    for (const std::string& unit : units)
        for (const bool gauge : references) {
            Reading reading{.claim = start};
            reading.claim.unit = unit;
            reading.claim.gauge = gauge;
            if (is_trim(match.key.signal)) read_trim_scale(judge, reading.claim);
            if (!settle_unit(reading.claim, channel.name)) continue;
            const View view = view_of(reading.claim, scene);
            if (!judge.is_possible(view)) continue;
            const auto at_rest = references.size() > 1 ? judge.fits_at_rest(view) : std::optional<bool>(true);
            if (at_rest && !*at_rest) {
                refused_at_rest = true;
                continue;
            }
            reading.typical = at_rest && judge.is_typical(view);
            found.possible.push_back(std::move(reading));
        }
    if (!found.possible.empty() || !found.why_none.empty()) return found;
    found.why_none =
        refused_at_rest ? "its readings with the engine off or the pedal closed fit neither absolute nor gauge pressure"
                        : fmt::format("{} are not those of {}", span_text(judge.all(), channel.unit_in_log),
                                      info(match.key.signal).name);
    return found;
}

}  // namespace

int system_of(std::string_view unit) {
    constexpr std::array<std::string_view, 11> kMetric{"C",   "kPa",  "hPa", "bar", "MPa", "km/h",
                                                       "g/s", "kg/h", "Nm",  "m",   "m/s"};
    constexpr std::array<std::string_view, 8> kImperial{"F", "psi", "mph", "lb/min", "lb/h", "lbf.ft", "ft", "inHg"};
    const std::string_view known = canonical_unit(unit);
    if (std::ranges::count(kMetric, known) > 0) return 1;
    return std::ranges::count(kImperial, known) > 0 ? -1 : 0;
}

Readings readings_of(const Channel& channel, std::size_t index, const WordMatch& match, const NamingScene& scene) {
    const SignalEnvelope* envelope = envelope_of(match.key.signal);
    if (envelope == nullptr) return {{}, "only a name can tell it"};
    const Judge judge(channel, scene, *envelope);
    if (judge.all().samples == 0) return {{}, "it holds no samples"};
    if (judge.all().all_zero && envelope->lowest > 0.0) return {{}, "it reads 0 throughout"};
    const LoggedUnit logged = read_logged_unit(channel.unit_in_log);
    const Claim start{.channel = index,
                      .key = match.key,
                      .before_turbine = match.before_turbine,
                      .where = Place{scene.log->file},
                      .by_words = true};
    if (is_mixture(match.key.signal)) {
        if (!logged.unit.empty() && !conversion(logged.unit, "1"))
            return {{},
                    fmt::format("its unit {} does not measure {}", channel.unit_in_log, info(match.key.signal).name)};
        return mixture_readings(channel, match, scene, start, logged);
    }
    Readings found = pressures_and_plain(channel, match, judge, scene, start, logged, *envelope);
    if (match.key.signal == Signal::spark_deg || match.key.signal == Signal::spark_base_deg)
        for (Reading& reading : found.possible)
            if (std::string why = read_spark_sign(judge, match, scene, reading); !why.empty()) return {{}, why};
    if (match.key.signal == Signal::vehicle_speed_km_h && found.possible.size() > 1)
        tell_by_gear_ratios(channel, scene, found.possible);
    return found;
}

}  // namespace revwright
