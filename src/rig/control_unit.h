#pragma once

#include <optional>

#include "core/error.h"
#include "rig/air_path.h"
#include "rig/combustion.h"
#include "rig/table_reader.h"

namespace revwright::rig {

/// What the control unit's sensors tell it. Its own sensors are taken as noise-free: noise belongs to the logger.
struct EngineSeen {
    double rpm = 850.0;
    double pedal_pct = 0.0;
    double meter_raw_g_s = 3.0;  // as the meter would read in its standard housing
    double lambda_seen = 1.0;
    double mean_retard_deg = 0.0;
    double coolant_c = 90.0;
    double oil_c = 90.0;
    double speed_m_s = 0.0;
    int gear = 0;
    bool clutch_open = true;
    bool intervention = false;
    bool boost_given_out = false;     // boost has been short for so long that the duty stands at its end
    double throttle_cap_pct = 100.0;  // a limiter that closes the throttle for a reason of its own
};

struct Commands {
    double throttle_pct = 5.0;
    double wastegate_duty = 0.0;  // 0..1
    bool fuel_on = true;
    double air_measured_g_s = 3.0;
    double charge_measured_pct = 20.0;
    double lambda_target = 1.0;
    double fuel_factor = 1.0;  // 1 + trims in use
    double spark_base_deg = 10.0;
    double boost_target_kpa = 100.0;
    double torque_request_nm = 0.0;
    double torque_estimate_nm = 0.0;
    double rail_target_mpa = 5.0;
    double trim_short_pct = 0.0;
    double trim_long_pct = 0.0;
};

/// The rig's control unit: reads the tables of the image it is given, controls boost, throttle, fuel and spark.
class ControlUnit {
public:
    static Result<ControlUnit> make(const JobSheet& job, const TableSet& tables, const AirPathData& data,
                                    const Hidden& car);
    const Commands& step(double dt_s, const EngineSeen& seen, const AirState& air, const Day& day);

private:
    ControlUnit(const JobSheet& job, const AirPathData& data, const Hidden& car);
    void learn_trim();
    double metered(double raw_g_s) const;
    void see(const EngineSeen& seen, const AirState& air, const Day& day);
    void choose_fuel(double dt_s, const EngineSeen& seen);
    void choose_torque(const EngineSeen& seen, const AirState& air);
    void choose_throttle(double dt_s, const EngineSeen& seen, const AirState& air);
    void choose_boost(double dt_s, const EngineSeen& seen, const AirState& air, const Day& day);

    const Hidden* car_;
    AirPathData data_;
    FuelData fuel_;
    Injection injection_;
    double max_speed_rpm_;
    double wish_nm_ = 400.0;  // torque a full pedal asks for
    std::optional<TableReader> spark_, lambda_target_, boost_target_, wastegate_, meter_, torque_limit_, speed_limit_;
    Operating at_;
    Commands out_;
    double boost_integral_ = 0.0;
    double boost_before_kpa_ = 100.0;
    double limiter_pct_ = 100.0;
    bool limiting_ = false;  // fuel is cut at the speed limit
};

}  // namespace revwright::rig
