#include "model/role.h"

#include <algorithm>
#include <array>

namespace revwright {
namespace {

constexpr std::array<std::string_view, 18> kNames{"spark",
                                                  "lambda_target",
                                                  "boost_target",
                                                  "wastegate_duty",
                                                  "air_meter",
                                                  "volumetric_efficiency",
                                                  "torque_request",
                                                  "torque_limit",
                                                  "torque_to_charge",
                                                  "charge_to_torque",
                                                  "charge_limit",
                                                  "speed_limit",
                                                  "throttle_limit",
                                                  "shift_up_speed",
                                                  "gear_torque_limit",
                                                  "line_pressure",
                                                  "kick_down_pedal",
                                                  "shift_time"};
static_assert(kNames.size() == static_cast<std::size_t>(Role::shift_time) + 1);

}  // namespace

std::string_view to_string(Role role) { return kNames[static_cast<std::size_t>(role)]; }

std::optional<Role> role_named(std::string_view name) {
    const auto* found = std::ranges::find(kNames, name);
    if (found == kNames.end()) return std::nullopt;
    return static_cast<Role>(found - kNames.begin());
}

bool is_gearbox(Role role) { return role >= Role::shift_up_speed; }

}  // namespace revwright
