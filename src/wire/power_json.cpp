#include "wire/power_json.h"

#include "wire/json.h"

namespace revwright::wire {
namespace {

Json words(const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); }

Json interval_json(const PowerInterval& interval) { return Json::array({number(interval.low), number(interval.high)}); }

Json points_json(const std::vector<TorqueCurvePoint>& points) {
    Json list = Json::array();
    for (const TorqueCurvePoint& point : points)
        list.push_back({{"engine_speed_rpm", number(point.engine_speed_rpm)},
                        {"torque_nm", number(point.torque_nm)},
                        {"torque_sd_nm", number(point.torque_sd_nm)}});
    return list;
}

void put_curve(Json& json, const PowerCurve& curve) {
    json["curve"] = points_json(curve.points);
    json["peak_power_kw"] = number(curve.power_kw.value);
    json["peak_power_rpm"] = number(curve.power_kw.engine_speed_rpm);
    json["peak_power_interval_kw"] = interval_json(curve.power_kw.interval);
    json["peak_torque_nm"] = number(curve.torque_nm.value);
    json["peak_torque_rpm"] = number(curve.torque_nm.engine_speed_rpm);
    json["peak_torque_interval_nm"] = interval_json(curve.torque_nm.interval);
}

Json curve_json(const std::optional<PowerCurve>& curve) {
    if (!curve) return nullptr;
    Json json;
    put_curve(json, *curve);
    return json;
}

Json methods_json(const std::vector<MethodPower>& methods) {
    Json list = Json::array();
    for (const MethodPower& method : methods) {
        Json json{{"method", to_string(method.method)}};
        put_curve(json, method.curve);
        json["combined"] = method.combined;
        json["why_not"] = words(method.why_not);
        list.push_back(std::move(json));
    }
    return list;
}

/// Of no method there is nothing to agree.
Json agreement_json(const PowerSet& set) {
    if (set.methods.empty()) return nullptr;
    return {{"consistent", set.agreement.consistent},
            {"birge_ratio", set.agreement.birge_ratio > 0.0 ? number(set.agreement.birge_ratio) : Json(nullptr)},
            {"text", words(set.agreement.text)}};
}

Json refused_json(const std::vector<RefusedPower>& refused) {
    Json list = Json::array();
    for (const RefusedPower& one : refused) list.push_back({{"method", to_string(one.method)}, {"reason", one.reason}});
    return list;
}

Json air_json(const std::optional<PowerAir>& air) {
    if (!air) return nullptr;
    return {{"pressure_kpa", number(air->pressure_kpa)},
            {"temperature_c", number(air->temperature_c)},
            {"humidity_pct", number(air->humidity_pct)}};
}

Json factors_json(const std::vector<CorrectionFactor>& factors) {
    Json list = Json::array();
    for (const CorrectionFactor& one : factors)
        list.push_back(
            {{"standard", one.standard}, {"factor", number(one.factor)}, {"within_limits", one.within_limits}});
    return list;
}

Json remedies_json(const std::vector<PowerRemedy>& remedies) {
    Json list = Json::array();
    for (const PowerRemedy& one : remedies)
        list.push_back({{"cause", one.cause},
                        {"measurement", one.measurement},
                        {"share", number(one.share)},
                        {"half_width_kw", number(one.half_width_kw)}});
    return list;
}

void put_set(Json& json, const PowerSet& set, std::size_t index) {
    json["reference"] = set.reference;
    json["correction_factor"] = number(set.correction_factor);
    json["methods"] = methods_json(set.methods);
    json["combined"] = curve_json(set.combined);
    json["as_measured"] = curve_json(set.as_measured);
    json["agreement"] = agreement_json(set);
    json["refused"] = refused_json(set.refused);
    json["set"] = index;
    json["image"] = set.image;
    json["image_sha256"] = set.digest ? Json(to_hex(*set.digest)) : Json(nullptr);
    json["logs"] = set.logs;
    json["why_reference"] = words(set.why_reference);
    json["air"] = air_json(set.air);
    json["factors"] = factors_json(set.factors);
    json["remedies"] = remedies_json(set.remedies);
    json["in_one_sentence"] = words(set.in_one_sentence);
}

/// A report without any set has every member all the same, so that a reader need not ask.
void put_no_set(Json& json) {
    for (const char* key : {"reference", "correction_factor"}) json[key] = nullptr;
    json["methods"] = Json::array();
    for (const char* key : {"combined", "as_measured", "agreement"}) json[key] = nullptr;
    json["refused"] = Json::array();
    for (const char* key : {"set", "image", "image_sha256"}) json[key] = nullptr;
    json["logs"] = Json::array();
    for (const char* key : {"why_reference", "air"}) json[key] = nullptr;
    for (const char* key : {"factors", "remedies"}) json[key] = Json::array();
    json["in_one_sentence"] = nullptr;
}

Json other_sets_json(const std::vector<PowerSet>& sets) {
    Json list = Json::array();
    for (std::size_t i = 0; i + 1 < sets.size(); ++i) {
        Json json;
        put_set(json, sets[i], i);
        list.push_back(std::move(json));
    }
    return list;
}

Json differences_json(const std::vector<PowerDifference>& differences) {
    Json list = Json::array();
    for (const PowerDifference& one : differences)
        list.push_back({{"from", one.from},
                        {"to", one.to},
                        {"method", to_string(one.method)},
                        {"gain", points_json(one.points)},
                        {"peak_power_gain_kw", number(one.peak_power_kw)},
                        {"peak_power_gain_interval_kw", interval_json(one.peak_power_interval_kw)},
                        {"peak_torque_gain_nm", number(one.peak_torque_nm)},
                        {"peak_torque_gain_interval_nm", interval_json(one.peak_torque_interval_nm)},
                        {"repeatability_pct", number(one.repeatability_pct)}});
    return list;
}

/// Speeds and their source are those of what was used; a pull that was left out has none.
Json pulls_json(const PowerReport& report) {
    Json list = Json::array();
    for (const PowerPull& pull : report.pulls) {
        const bool ranged = pull.speed_to_rpm > pull.speed_from_rpm;
        list.push_back({{"pull", pull.pull},
                        {"log", report.logs[pull.log]},
                        {"set", pull.set},
                        {"direction", words(pull.direction)},
                        {"gear", number(pull.gear)},
                        {"used", pull.left_out.empty()},
                        {"left_out", words(pull.left_out)},
                        {"speed_from_rpm", ranged ? number(pull.speed_from_rpm) : Json(nullptr)},
                        {"speed_to_rpm", ranged ? number(pull.speed_to_rpm) : Json(nullptr)},
                        {"speed_of", words(pull.speed_of)},
                        {"quick_view", points_json(pull.quick_view)}});
    }
    return list;
}

/// The figures are those of what the stretches told; where they told nothing there are none.
Json coastdown_json(const PowerReport& report) {
    if (!report.coastdown) return nullptr;
    const PowerCoastdown& coastdown = *report.coastdown;
    Json json;
    json["stretches"] = Json::array();
    for (const PowerCoast& one : coastdown.stretches)
        json["stretches"].push_back({{"log", report.logs[one.log]},
                                     {"start_s", number(one.start_s)},
                                     {"end_s", number(one.end_s)},
                                     {"from_km_h", number(one.from_km_h)},
                                     {"to_km_h", number(one.to_km_h)},
                                     {"direction", words(one.direction)},
                                     {"speed_of", one.speed_of}});
    json["refused"] = words(coastdown.refused);
    const auto figure = [&](double value) { return coastdown.refused.empty() ? number(value) : Json(nullptr); };
    json["a_n"] = figure(coastdown.a_n);
    json["b_n_per_m_s"] = figure(coastdown.b_n_per_m_s);
    json["c_n_per_m2_s2"] = figure(coastdown.c_n_per_m2_s2);
    json["air_density_kg_m3"] = figure(coastdown.air_density_kg_m3);
    json["resistance"] = Json::array();
    for (const RoadResistance& one : coastdown.resistance)
        json["resistance"].push_back({{"speed_km_h", number(one.speed_km_h)},
                                      {"force_n", number(one.force_n)},
                                      {"force_sd_n", number(one.force_sd_n)}});
    return json;
}

}  // namespace

std::string power_json(const PowerReport& report) {
    Json json{{"schema", "revwright.power/1"}};
    if (report.sets.empty())
        put_no_set(json);
    else
        put_set(json, report.sets.back(), report.sets.size() - 1);
    json["job"] = words(report.job);
    json["goal"] = {{"torque_nm", number(report.goal.torque_nm)}, {"power_kw", number(report.goal.power_kw)}};
    json["pulls"] = pulls_json(report);
    json["coastdown"] = coastdown_json(report);
    json["excluded"] = excluded_json(report.excluded, report.logs);
    json["assumptions"] = report.assumptions;
    json["other_sets"] = other_sets_json(report.sets);
    json["differences"] = differences_json(report.differences);
    return print(json);
}

}  // namespace revwright::wire
