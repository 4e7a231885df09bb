#include "wire/review_json.h"

#include <algorithm>
#include <array>
#include <limits>
#include <ranges>

#include "wire/json.h"

namespace revwright::wire {
namespace {

Json words(const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); }

Json pulls_json(const std::vector<Pull>& pulls, const std::vector<std::string>& logs) {
    Json list = Json::array();
    for (const Pull& pull : pulls)
        list.push_back({{"index", pull.index},
                        {"log", logs[pull.log]},
                        {"start_s", number(pull.start_s)},
                        {"end_s", number(pull.end_s)},
                        {"gear", number(pull.gear)},
                        {"kind", to_string(pull.kind)},
                        {"direction", words(pull.direction)},
                        {"heading_deg", number(pull.heading_deg)},
                        {"speed_from_rpm", number(pull.speed_from_rpm)},
                        {"speed_to_rpm", number(pull.speed_to_rpm)}});
    return list;
}

constexpr std::array<std::string_view, 3> kPlaces{"road", "inertia-dyno", "brake-dyno"};

Json runs_json(const std::vector<ReviewedRun>& runs, const std::vector<std::string>& logs) {
    Json list = Json::array();
    for (const ReviewedRun& run : runs)
        list.push_back({{"log", logs[run.log]},
                        {"image_sha256", run.image ? Json(to_hex(*run.image)) : Json(nullptr)},
                        {"standard", run.standard},
                        {"place", run.place ? Json(kPlaces[static_cast<std::size_t>(*run.place)]) : Json(nullptr)},
                        {"direction", words(run.direction)},
                        {"fuel_batch", words(run.fuel_batch)},
                        {"ron", number(run.ron)},
                        {"occupants_kg", number(run.occupants_kg)},
                        {"slope_pct", number(run.slope_pct)},
                        {"ambient_temp_c", number(run.ambient_temp_c)},
                        {"ambient_pressure_kpa", number(run.ambient_pressure_kpa)}});
    return list;
}

Json finding_json(const Finding& finding, const std::vector<std::string>& logs) {
    return {{"check", finding.check},
            {"severity", to_string(finding.severity)},
            {"pull", finding.pull ? Json(*finding.pull) : Json(nullptr)},
            {"log", finding.log ? Json(logs[*finding.log]) : Json(nullptr)},
            {"engine_speed_rpm", number(finding.engine_speed_rpm)},
            {"time_s", number(finding.time_s)},
            {"duration_s", number(finding.duration_s)},
            {"value", number(finding.value)},
            {"limit", number(finding.limit)},
            {"margin", number(finding.margin)},
            {"unit", finding.unit},
            {"levers", finding.levers},
            {"cylinder", finding.cylinder ? Json(*finding.cylinder) : Json(nullptr)},
            {"modelled", finding.modelled},
            {"standard", finding.standard_value ? Json({{"value", number(*finding.standard_value)}}) : Json(nullptr)},
            {"source", finding.source},
            {"text", finding.text}};
}

/// What the samples of a channel span; NaN where there are none.
struct Range {
    double first = std::numeric_limits<double>::quiet_NaN(), last = first, min = first, max = first;
    double time_first = first, time_last = first;
    std::size_t samples = 0;
};

Range range_of(const Series& series) {
    Range range;
    for (std::size_t i = 0; i < series.size(); ++i) {
        const double value = series.values[i];
        if (std::isnan(value)) continue;
        if (range.samples++ == 0) {
            range.first = range.min = range.max = value;
            range.time_first = series.times[i];
        }
        range.last = value;
        range.time_last = series.times[i];
        range.min = std::min(range.min, value);
        range.max = std::max(range.max, value);
    }
    return range;
}

/// A channel of words has no range: its first and last word instead, and which words came up.
void put_words(Json& json, const Channel& channel) {
    const std::vector<std::string> words = words_in(channel, 32);
    const auto is_word = [](double value) { return !std::isnan(value); };
    const auto last = std::ranges::find_if(channel.values.rbegin(), channel.values.rend(), is_word);
    if (!words.empty()) json["first"] = words.front();
    if (last != channel.values.rend()) json["last"] = channel.texts[static_cast<std::size_t>(*last)];
    json["min"] = json["max"] = json["resolution"] = nullptr;
    json["texts"] = words;
}

Json channel_json(const Log& log, const Channel& channel) {
    const Range range = range_of(log.series(channel));
    Json json{{"name", channel.name},
              {"is", channel.key ? Json(to_string(*channel.key)) : Json(nullptr)},
              {"candidates", channel.candidates},
              {"doubt", channel.doubt.empty() ? Json(nullptr) : Json(channel.doubt)},
              {"unit_in_log", channel.unit_in_log},
              {"unit", channel.unit},
              {"samples", range.samples},
              {"refresh_hz", number(channel.refresh_hz)},
              {"resolution", number(channel.resolution)},
              {"first", number(range.first)},
              {"last", number(range.last)},
              {"min", number(range.min)},
              {"max", number(range.max)},
              {"time_first_s", number(range.time_first)},
              {"time_last_s", number(range.time_last)},
              {"quality", channel.quality}};
    if (!channel.texts.empty()) put_words(json, channel);
    if (channel.group) json["group"] = *channel.group;
    return json;
}

/// The clock of a group of the file, which is one of its channels.
Json clock_json(const TimeBase& base, const ClockChannel& clock) {
    const Json first = number(base.seconds.front()), last = number(base.seconds.back());
    return {{"name", clock.name},
            {"is", to_string(ChannelKey{Signal::time_s})},
            {"candidates", Json::array()},
            {"doubt", nullptr},
            {"unit_in_log", clock.unit_in_log},
            {"unit", "s"},
            {"samples", base.seconds.size()},
            {"refresh_hz", nullptr},
            {"resolution", nullptr},
            {"first", first},
            {"last", last},
            {"min", first},
            {"max", last},
            {"time_first_s", first},
            {"time_last_s", last},
            {"quality", Json::array()},
            {"group", clock.group}};
}

}  // namespace

std::string review_json(const Review& review, bool all) {
    Json findings = Json::array();
    for (const Finding& finding : review.findings)
        if (all || finding.severity != Severity::clear) findings.push_back(finding_json(finding, review.logs));
    Json not_checked = Json::array();
    for (const NotChecked& check : review.not_checked)
        not_checked.push_back({{"check", check.check},
                               {"missing", check.missing},
                               {"standing", to_string(check.standing)},
                               {"log", check.log ? Json(review.logs[*check.log]) : Json(nullptr)},
                               {"text", check.text}});
    return print({{"schema", "revwright.review/1"},
                  {"runs", runs_json(review.runs, review.logs)},
                  {"pulls", pulls_json(review.pulls, review.logs)},
                  {"excluded", excluded_json(review.excluded, review.logs)},
                  {"findings", std::move(findings)},
                  {"not_checked", std::move(not_checked)},
                  {"notes", review.notes}});
}

std::string inspect_json(const Log& log, const std::vector<Pull>& pulls, const std::vector<Excluded>& excluded) {
    const std::vector<std::string> logs{log.file};
    Json channels = Json::array();
    for (const Channel& channel : log.channels) channels.push_back(channel_json(log, channel));
    for (const TimeBase& base : log.time_bases)
        for (const ClockChannel& clock : base.listed_as)
            if (!base.seconds.empty()) channels.push_back(clock_json(base, clock));
    Json quality = Json::array();
    for (const QualityNote& note : log.quality)
        quality.push_back({{"kind", note.kind},
                           {"start_s", number(note.start_s)},
                           {"end_s", number(note.end_s)},
                           {"text", note.text}});
    const Log::Span span = log.span();
    return print({{"schema", "revwright.inspect/1"},
                  {"log", log.file},
                  {"format", log.format},
                  {"duration_s", number(span.end_s - span.start_s)},
                  {"channels", std::move(channels)},
                  {"pulls", pulls_json(pulls, logs)},
                  {"excluded", excluded_json(excluded, logs)},
                  {"quality", std::move(quality)},
                  {"named_by", log.named_by.empty() ? Json(nullptr) : Json(log.named_by)},
                  {"lost", log.lost}});
}

}  // namespace revwright::wire
