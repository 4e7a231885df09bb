#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "model/job.h"
#include "model/log.h"
#include "model/review.h"
#include "model/table.h"
#include "rig/hidden.h"

namespace revwright::rig {

/// A fault to plant: one of all_faults(). at_rpm 0: the rig picks a place by seed; faults without a place ignore it.
struct Fault {
    std::string name;
    double at_rpm = 0.0;
};

/// What a fault is and what a good review must say of it.
struct FaultInfo {
    std::string_view name;
    std::string_view sentence;
    std::vector<std::string_view> checks;     // check ids that must be raised
    std::vector<std::string_view> may_raise;  // true consequences that may be reported as well
    Severity at_least = Severity::watch;
    bool beside_standard_run = false;  // it can be told only from a run of the same car before it
};
std::span<const FaultInfo> all_faults();
const FaultInfo* fault_named(std::string_view name);

/// Stretches that look like a pull and are not, or not wholly.
enum class StretchKind {
    part_pedal,
    stab,           // full pedal, but too short
    shift_at_full,  // gear changed with the pedal down
    lift_off,       // lifted in the middle, then full again
    wheel_slip,     // tyres spin in a low gear
    clutch_slip,    // clutch gives way in a high gear
    intervention,   // torque request falls under full pedal
    cold_oil,       // the first pull is driven before the oil is warm
};

/// What is driven: warm idle, drive off, cruise, the pulls with cool-down between, then the planted stretches.
struct DrivePlan {
    int pulls = 3;
    int gear = 0;  // 0: third, or the highest there is
    double from_rpm = 1750.0;
    double to_rpm = 0.0;  // 0: 300 below the engine's speed limit
    double idle_s = 6.0;
    double cruise_s = 12.0;
    double cool_down_s = 14.0;
    std::vector<StretchKind> stretches = {};
    int random_stretches = 0;  // so many more, picked by seed
    std::optional<double> ambient_temp_c = {}, ambient_pressure_kpa = {}, slope_pct = {}, ron = {}, run_effect_deg = {};
};

/// How the logger records: all channels at one even rate, slowly, or fast with slow channels repeated in the rows.
enum class LoggerKind { even_20hz, even_10hz, mixed_25hz };

struct RigSetup {
    const JobSheet& job;
    const TableSet& tables;
    std::uint64_t seed = 1;  // of this run
    std::vector<Fault> faults = {};
    DrivePlan plan = {};
    LoggerKind logger = LoggerKind::even_20hz;
    std::optional<bool> hardware_fitted = {};    // default: whether the job lists any hardware
    std::optional<std::uint64_t> car_seed = {};  // of the car itself: the same for all its runs; default: seed
    Variety variety = Variety::usual;
};

struct TruthPull {
    double start_s = 0.0, end_s = 0.0;
    int gear = 0;
    double speed_from_rpm = 0.0, speed_to_rpm = 0.0;
    double peak_torque_nm = 0.0, peak_torque_rpm = 0.0;
    double peak_power_kw = 0.0, peak_power_rpm = 0.0;
    double settled_exhaust_temp_c = 0.0;  // highest temperature the pull would have settled at
};

struct TruthExcluded {
    double start_s = 0.0, end_s = 0.0;
    ExclusionReason reason = ExclusionReason::part_pedal;
};

/// A fault as planted, with the place where it shows most.
struct TruthFault {
    std::string name;
    std::vector<std::string> checks;
    Severity at_least = Severity::watch;
    std::optional<double> engine_speed_rpm = {};  // nothing where the fault has no place
    double time_s = 0.0;
    double value = 0.0;  // of the checked quantity at that place, in the check's unit
};

struct TruthKnock {
    double time_s = 0.0;
    int cylinder = 1;  // counts from 1
    double engine_speed_rpm = 0.0;
};

struct TorquePoint {
    double engine_speed_rpm = 0.0, torque_nm = 0.0;
};

/// Full load of the run around one engine speed, averaged over its pulls.
struct BorderlinePoint {
    double engine_speed_rpm = 0.0;
    double charge_pct = 0.0;  // as the control unit measures it: where it reads its tables
    double manifold_kpa = 0.0;
    double spark_base_deg = 0.0;  // of the table
    double borderline_deg = 0.0;  // worst cylinder, run effect left out
    double best_torque_deg = 0.0;
};

/// What really happened, on the log's own clock.
struct Truth {
    std::vector<TruthPull> pulls;
    std::vector<TruthExcluded> excluded;
    std::vector<TruthFault> faults;
    std::vector<TruthKnock> knocks;
    std::vector<TorquePoint> torque_curve;    // crank torque every 100 rpm, mean over the pulls
    std::vector<BorderlinePoint> borderline;  // every 250 rpm
    Hidden hidden;
    Day day;
};

struct RigRun {
    Log log;
    Truth truth;
};

/// Drives the simulated car with the tables of an image. Errors: a fault name or a table the rig does not know, an
/// engine of more than kMostCylinders, a plan without a pull. Pure: the same setup gives the same run, bit for bit.
Result<RigRun> drive(const RigSetup& setup);

}  // namespace revwright::rig
