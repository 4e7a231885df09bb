#pragma once

#include <optional>
#include <string_view>

namespace revwright {

/// What a table means to us; the job sheet ties roles to table names.
enum class Role {
    spark,
    lambda_target,
    boost_target,
    wastegate_duty,
    air_meter,
    volumetric_efficiency,
    torque_request,
    torque_limit,
    torque_to_charge,
    charge_to_torque,
    charge_limit,
    speed_limit,
    throttle_limit,
    // gearbox
    shift_up_speed,
    gear_torque_limit,
    line_pressure,
    kick_down_pedal,
    shift_time,
};

std::string_view to_string(Role role);
std::optional<Role> role_named(std::string_view name);
bool is_gearbox(Role role);

}  // namespace revwright
