#include "rig/control_unit.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace revwright::rig {
namespace {

constexpr double kIdleTorque = 6.0;
constexpr double kFullPedal = 90.0;
constexpr double kLimiterBandRpm = 60.0;  // below the limit before fuel comes back
constexpr double kLeastManifold = 25.0;   // kPa, on overrun and at idle
constexpr double kClosedLoopFrom = 0.98;  // lambda target at and above which the trims work

// Boost control: feed-forward and PI of limited authority. Own choice of gains, near tau / (K (lc + dead time)).
constexpr double kBoostProportional = 0.0035;  // duty per kPa
constexpr double kBoostIntegral = 0.010;       // duty per kPa and second
constexpr double kBoostDamping = 0.0018;       // duty per kPa/s of rise
constexpr double kBoostAuthority = 0.15;
constexpr double kIntegrateWithin = 9.0;  // kPa; no wind-up while the turbocharger spools

}  // namespace

ControlUnit::ControlUnit(const JobSheet& job, const AirPathData& data, const Hidden& car)
    : car_(&car),
      data_(data),
      fuel_(fuel_data(job.fuel)),
      injection_(job.engine.injection),
      max_speed_rpm_(job.engine.max_speed_rpm),
      wish_nm_((data.turbocharged ? 400.0 : 210.0) * data.displacement_m3 / 0.001998) {}

Result<ControlUnit> ControlUnit::make(const JobSheet& job, const TableSet& tables, const AirPathData& data,
                                      const Hidden& car) {
    ControlUnit unit{job, data, car};
    const std::pair<Role, std::optional<TableReader>*> wanted[] = {
        {Role::spark, &unit.spark_},
        {Role::lambda_target, &unit.lambda_target_},
        {Role::boost_target, &unit.boost_target_},
        {Role::wastegate_duty, &unit.wastegate_},
        {Role::air_meter, &unit.meter_},
        {Role::torque_limit, &unit.torque_limit_},
        {Role::speed_limit, &unit.speed_limit_},
    };
    for (const auto& [role, slot] : wanted) {
        auto reader = reader_for(role, job, tables);
        if (!reader) return tl::unexpected(reader.error());
        *slot = *reader;
    }
    if (!unit.spark_) return refuse("the simulated car needs a table with the role spark");
    if (!unit.lambda_target_) return refuse("the simulated car needs a table with the role lambda_target");
    if (data.turbocharged && !unit.boost_target_)
        return refuse("the simulated turbocharged car needs a table with the role boost_target");
    unit.learn_trim();
    return unit;
}

double ControlUnit::metered(double raw_g_s) const {
    if (!meter_) return raw_g_s;
    Operating at;
    at.air_mass_flow_g_s = raw_g_s;
    return meter_->read(at);
}

/// The car has been driven before: most of its error at part load stands in the long trim.
void ControlUnit::learn_trim() {
    constexpr double kCruiseFlow = 15.0;  // g/s
    const double passing = kCruiseFlow * (1.0 - data_.part_load_leak);
    const double measured = metered(passing * car_->meter_gain / data_.meter_area_factor);
    const double needed = kCruiseFlow / (measured * car_->injector_gain) - 1.0;
    out_.trim_long_pct = std::clamp(85.0 * needed, -25.0, 25.0);
    out_.trim_short_pct = std::clamp(15.0 * needed, -15.0, 15.0);
}

void ControlUnit::see(const EngineSeen& seen, const AirState& air, const Day& day) {
    out_.air_measured_g_s = metered(seen.meter_raw_g_s);
    out_.charge_measured_pct = charge_pct(out_.air_measured_g_s * 1e-3, seen.rpm, data_.displacement_m3);
    at_.engine_speed_rpm = seen.rpm;
    at_.charge_pct = out_.charge_measured_pct;
    at_.air_mass_flow_g_s = out_.air_measured_g_s;
    at_.air_per_stroke_mg = out_.air_measured_g_s * 1e3 * 120.0 / (seen.rpm * data_.cylinders);
    at_.manifold_pressure_kpa = air.manifold_kpa;
    at_.boost_pressure_kpa = air.boost_kpa;
    at_.ambient_pressure_kpa = day.ambient_pressure_kpa;
    at_.ambient_temp_c = day.ambient_temp_c;
    at_.intake_temp_c = air.charge_temp_c;
    at_.coolant_temp_c = seen.coolant_c;
    at_.oil_temp_c = seen.oil_c;
    at_.pedal_pct = seen.pedal_pct;
    at_.throttle_pct = out_.throttle_pct;
    at_.vehicle_speed_km_h = 3.6 * seen.speed_m_s;
    at_.gear = seen.gear;
}

void ControlUnit::choose_fuel(double dt_s, const EngineSeen& seen) {
    const double limit = speed_limit_ ? std::min(speed_limit_->read(at_), max_speed_rpm_) : max_speed_rpm_;
    limiting_ = seen.rpm >= limit || (limiting_ && seen.rpm > limit - kLimiterBandRpm);
    const bool overrun = seen.pedal_pct < 0.5 && !seen.clutch_open && seen.rpm > 1300.0;
    out_.fuel_on = !overrun && !limiting_;
    out_.lambda_target = lambda_target_->read(at_);
    const bool closed_loop = out_.fuel_on && seen.pedal_pct < kFullPedal && out_.lambda_target >= kClosedLoopFrom;
    if (closed_loop && std::abs(seen.lambda_seen - 1.0) < 0.2) {
        const double error_pct = 100.0 * (seen.lambda_seen / out_.lambda_target - 1.0);
        out_.trim_short_pct = std::clamp(out_.trim_short_pct + 0.5 * error_pct * dt_s, -15.0, 15.0);
    }
    // The trims are learned at part load and are not carried into open loop.
    out_.fuel_factor = closed_loop ? 1.0 + 0.01 * (out_.trim_short_pct + out_.trim_long_pct) : 1.0;
    out_.rail_target_mpa = 5.0 + 15.0 * std::clamp(out_.charge_measured_pct / 150.0, 0.0, 1.0);
    out_.spark_base_deg = spark_->read(at_);
}

void ControlUnit::choose_torque(const EngineSeen& seen, const AirState& air) {
    const double limit = torque_limit_ ? torque_limit_->read(at_) : wish_nm_ * 1.1;
    const double wish = seen.clutch_open ? kIdleTorque : wish_nm_ * std::clamp(seen.pedal_pct / 95.0, 0.0, 1.0);
    out_.torque_request_nm = std::min(wish, limit) * (seen.intervention ? 0.6 : 1.0);
    const double best = best_torque_spark_deg(seen.rpm, out_.charge_measured_pct);
    const CombustionInput in{.engine_speed_rpm = seen.rpm,
                             .air_flow_kg_s = out_.air_measured_g_s * 1e-3,
                             .lambda = out_.lambda_target,
                             .spark_efficiency = spark_efficiency(best, out_.spark_base_deg - seen.mean_retard_deg,
                                                                  Hidden{}.spark_curvature_per_deg2),
                             .manifold_kpa = air.manifold_kpa,
                             .exhaust_kpa = 1.08 * air.manifold_kpa,
                             .fuel_on = out_.fuel_on};
    out_.torque_estimate_nm =
        car_->torque_model_factor *
        crank_torque_nm(in, Hidden{}, data_.displacement_m3, fuel_.stoichiometric_ratio, fuel_.heating_value_j_kg);
    // The modelled torque may not pass the limit: the throttle closes until it does not.
    const double over = out_.torque_estimate_nm / std::max(limit, 1.0) - 1.0;
    limiter_pct_ = std::clamp(limiter_pct_ - 20.0 * over, 25.0, 100.0);
    at_.torque_nm = out_.torque_estimate_nm;
    at_.torque_request_nm = out_.torque_request_nm;
}

void ControlUnit::choose_throttle(double dt_s, const EngineSeen& seen, const AirState& air) {
    double wanted = 100.0;
    if (seen.pedal_pct < kFullPedal || seen.intervention || seen.clutch_open) {
        const double crank_rad_s = std::max(seen.rpm, 500.0) * std::numbers::pi / 30.0;
        const double per_kpa = std::max(air.air_flow_kg_s, 1e-4) / air.manifold_kpa;
        const double pumping_nm =
            std::max(0.0, air.exhaust_kpa - air.manifold_kpa) * 1e3 * data_.displacement_m3 / (4.0 * std::numbers::pi);
        const double inner_nm =
            out_.torque_request_nm + pumping_nm + friction_torque_nm(seen.rpm, data_.displacement_m3);
        const double flow = inner_nm * crank_rad_s * fuel_.stoichiometric_ratio / (0.39 * fuel_.heating_value_j_kg);
        const double manifold = out_.fuel_on ? std::max(flow / per_kpa, kLeastManifold) : kLeastManifold;
        wanted = throttle_for_area(area_for_manifold(manifold, manifold * per_kpa, air, data_));
    }
    wanted = std::min({wanted, seen.throttle_cap_pct, limiter_pct_});
    out_.throttle_pct += std::min(1.0, dt_s / 0.04) * (wanted - out_.throttle_pct);
}

void ControlUnit::choose_boost(double dt_s, const EngineSeen& seen, const AirState& air, const Day& day) {
    if (!boost_target_) {
        out_.boost_target_kpa = day.ambient_pressure_kpa;
        return;
    }
    const double full = boost_target_->read(at_);
    // Without a pedal axis of its own the target fades in over the upper half of the pedal.
    const double share =
        boost_target_->reads(Signal::pedal_pct) ? 1.0 : std::clamp((seen.pedal_pct - 40.0) / 50.0, 0.0, 1.0);
    out_.boost_target_kpa = day.ambient_pressure_kpa + share * (full - day.ambient_pressure_kpa);
    at_.boost_target_kpa = out_.boost_target_kpa;
    const double error = out_.boost_target_kpa - air.boost_kpa;
    const double rise = (air.boost_kpa - boost_before_kpa_) / dt_s;
    boost_before_kpa_ = air.boost_kpa;
    if (share < 0.5 || seen.clutch_open)
        boost_integral_ = 0.0;
    else if (std::abs(error) < kIntegrateWithin)
        boost_integral_ =
            std::clamp(boost_integral_ + kBoostIntegral * error * dt_s, -kBoostAuthority, kBoostAuthority);
    const double forward =
        wastegate_ ? 0.01 * wastegate_->read(at_) : nominal_duty(out_.boost_target_kpa, air.air_flow_kg_s, data_);
    const double correction = std::clamp(kBoostProportional * error + boost_integral_ - kBoostDamping * rise,
                                         -kBoostAuthority, kBoostAuthority);
    out_.wastegate_duty = share <= 0.0 ? 0.0 : std::clamp(forward + correction, 0.0, 0.95);
    if (share > 0.0 && seen.boost_given_out) out_.wastegate_duty = 0.98;
}

const Commands& ControlUnit::step(double dt_s, const EngineSeen& seen, const AirState& air, const Day& day) {
    see(seen, air, day);
    choose_fuel(dt_s, seen);
    choose_torque(seen, air);
    choose_boost(dt_s, seen, air, day);
    choose_throttle(dt_s, seen, air);
    return out_;
}

}  // namespace revwright::rig
