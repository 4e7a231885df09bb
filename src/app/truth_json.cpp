#include "app/truth_json.h"

#include "wire/json.h"

namespace revwright::app {
namespace {

using wire::Json;
using wire::number;

Json pull_json(const rig::TruthPull& pull) {
    return {{"start_s", number(pull.start_s)},
            {"end_s", number(pull.end_s)},
            {"gear", pull.gear},
            {"speed_from_rpm", number(pull.speed_from_rpm)},
            {"speed_to_rpm", number(pull.speed_to_rpm)},
            {"peak_torque_nm", number(pull.peak_torque_nm)},
            {"peak_torque_rpm", number(pull.peak_torque_rpm)},
            {"peak_power_kw", number(pull.peak_power_kw)},
            {"peak_power_rpm", number(pull.peak_power_rpm)},
            {"settled_exhaust_temp_c", number(pull.settled_exhaust_temp_c)}};
}

Json fault_json(const rig::TruthFault& fault) {
    return {{"name", fault.name},
            {"checks", fault.checks},
            {"at_least", to_string(fault.at_least)},
            {"engine_speed_rpm", number(fault.engine_speed_rpm)},
            {"time_s", number(fault.time_s)},
            {"value", number(fault.value)}};
}

Json borderline_json(const rig::BorderlinePoint& point) {
    return {{"engine_speed_rpm", number(point.engine_speed_rpm)}, {"charge_pct", number(point.charge_pct)},
            {"manifold_kpa", number(point.manifold_kpa)},         {"spark_base_deg", number(point.spark_base_deg)},
            {"borderline_deg", number(point.borderline_deg)},     {"best_torque_deg", number(point.best_torque_deg)}};
}

}  // namespace

std::string truth_json(const rig::Truth& truth, const std::string& log) {
    Json pulls = Json::array(), excluded = Json::array(), faults = Json::array(), knocks = Json::array();
    Json torque = Json::array(), borderline = Json::array();
    for (const auto& pull : truth.pulls) pulls.push_back(pull_json(pull));
    for (const auto& stretch : truth.excluded)
        excluded.push_back({{"start_s", number(stretch.start_s)},
                            {"end_s", number(stretch.end_s)},
                            {"reason", to_string(stretch.reason)}});
    for (const auto& fault : truth.faults) faults.push_back(fault_json(fault));
    for (const auto& knock : truth.knocks)
        knocks.push_back({{"time_s", number(knock.time_s)},
                          {"cylinder", knock.cylinder},
                          {"engine_speed_rpm", number(knock.engine_speed_rpm)}});
    for (const auto& point : truth.torque_curve)
        torque.push_back(
            {{"engine_speed_rpm", number(point.engine_speed_rpm)}, {"torque_nm", number(point.torque_nm)}});
    for (const auto& point : truth.borderline) borderline.push_back(borderline_json(point));
    return wire::print({{"schema", "revwright.rig-truth/1"},
                        {"log", log},
                        {"pulls", std::move(pulls)},
                        {"excluded", std::move(excluded)},
                        {"faults", std::move(faults)},
                        {"knocks", std::move(knocks)},
                        {"torque_curve", std::move(torque)},
                        {"borderline", std::move(borderline)},
                        {"ambient_temp_c", number(truth.day.ambient_temp_c)},
                        {"ambient_pressure_kpa", number(truth.day.ambient_pressure_kpa)}});
}

}  // namespace revwright::app
