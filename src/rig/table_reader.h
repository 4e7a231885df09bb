#pragma once

#include <vector>

#include "core/error.h"
#include "model/job.h"
#include "model/table.h"

namespace revwright::rig {

/// What the control unit knows when it reads a table: its own, measured view of the engine.
struct Operating {
    double engine_speed_rpm = 850.0;
    double charge_pct = 20.0;
    double air_mass_flow_g_s = 3.0;
    double air_per_stroke_mg = 100.0;
    double manifold_pressure_kpa = 40.0;
    double boost_pressure_kpa = 100.0;
    double boost_target_kpa = 100.0;
    double ambient_pressure_kpa = 100.0;
    double ambient_temp_c = 20.0;
    double intake_temp_c = 30.0;
    double coolant_temp_c = 90.0;
    double oil_temp_c = 90.0;
    double pedal_pct = 0.0;
    double throttle_pct = 5.0;
    double torque_nm = 0.0;
    double torque_request_nm = 0.0;
    double vehicle_speed_km_h = 0.0;
    double gear = 1.0;
};

/// One table of the image, read as the control unit reads it: bilinear, clamped at the ends. The table outlives it.
class TableReader {
public:
    /// Refuses a table read over a channel that the rig does not simulate.
    static Result<TableReader> make(const Table& table);
    double read(const Operating& at) const;
    const Table& table() const { return *table_; }
    bool reads(Signal signal) const;

private:
    explicit TableReader(const Table& table) : table_(&table) {}
    const Table* table_;
    std::vector<double Operating::*> inputs_;
};

/// The table a role is read from: the first without a condition, else the first. Nothing where the job names none.
/// An error where the job names a table that the image does not hold.
Result<std::optional<TableReader>> reader_for(Role role, const JobSheet& job, const TableSet& tables);

}  // namespace revwright::rig
