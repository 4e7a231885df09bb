#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/digest.h"
#include "model/job.h"
#include "model/review.h"

namespace revwright {

// What power a car made, and how sure that is. At the crankshaft; intervals are of 95 %.

enum class PowerMethod { road_load, dynamometer, air_flow, control_unit };
std::string_view to_string(PowerMethod method);  // "road-load" ...

struct PowerInterval {
    double low = 0.0, high = 0.0;
};

struct PowerPeak {
    double value = 0.0;
    double engine_speed_rpm = 0.0;
    PowerInterval interval = {};
};

struct TorqueCurvePoint {
    double engine_speed_rpm = 0.0, torque_nm = 0.0, torque_sd_nm = 0.0;
};

struct PowerCurve {
    std::vector<TorqueCurvePoint> points = {};  // rising speeds
    PowerPeak power_kw = {}, torque_nm = {};
};

/// A figure of one method, corrected to the report's reference.
struct MethodPower {
    PowerMethod method = PowerMethod::road_load;
    PowerCurve curve = {};
    bool combined = true;  // takes part in the combination
    std::string why_not = {};
};

struct RefusedPower {
    PowerMethod method = PowerMethod::road_load;
    std::string reason = {};  // one sentence
};

/// Whether the methods say the same within what each claims to know.
struct PowerAgreement {
    bool consistent = true;
    double birge_ratio = 0.0;  // root of chi squared per degree of freedom; 0 where there is one method only
    std::string text = {};
};

/// What a measurement that was not made would do to the interval of the peak power.
struct PowerRemedy {
    std::string cause = {};        // "the mass of the car"
    std::string measurement = {};  // "weigh the car as driven"
    double share = 0.0;            // of the variance of the peak power that it would take away
    double half_width_kw = 0.0;    // of the 95 % interval that would be left
};

/// One standard's factor for the air of these runs, whether it was taken or not.
struct CorrectionFactor {
    std::string standard = {};  // "ISO 1585", "SAE J1349"
    double factor = 1.0;
    bool within_limits = true;  // of the standard
};

/// The air the runs were driven in, means over them.
struct PowerAir {
    double pressure_kpa = 0.0, temperature_c = 0.0;
    std::optional<double> humidity_pct = {};
};

/// All runs with one image.
struct PowerSet {
    std::string image = {};  // as people call it: "the standard image", a file's name, or "an image that is not named"
    std::optional<Digest> digest = {};
    std::vector<std::string> logs = {};
    std::string reference = "none";  // the standard that `methods` and `combined` are corrected to
    std::string why_reference = {};  // one sentence
    double correction_factor = 1.0;
    std::optional<PowerAir> air = {};
    std::vector<CorrectionFactor> factors = {};
    std::vector<MethodPower> methods = {};
    std::optional<PowerCurve> combined = {}, as_measured = {};
    PowerAgreement agreement = {};
    std::vector<RefusedPower> refused = {};
    std::vector<PowerRemedy> remedies = {};  // most helpful first
    std::string in_one_sentence = {};        // what dominates the uncertainty, and what would shrink it most
};

/// Between two sets on the same road, each as measured, with the errors that both share taken out.
struct PowerDifference {
    std::size_t from = 0, to = 0;  // indices into PowerReport::sets
    PowerMethod method = PowerMethod::road_load;
    std::vector<TorqueCurvePoint> points = {};  // torque_nm is the gain
    double peak_power_kw = 0.0;
    PowerInterval peak_power_interval_kw = {};
    double peak_torque_nm = 0.0;
    PowerInterval peak_torque_interval_nm = {};
    double repeatability_pct =
        0.0;  // 95 %, of torque where power is highest: what two sets must differ by to be told apart
};

/// A pull as it was used, or the reason why it was not.
struct PowerPull {
    std::size_t pull = 0;  // Pull::index
    std::size_t log = 0, set = 0;
    std::string direction = {};
    std::optional<int> gear = {};
    double speed_from_rpm = 0.0, speed_to_rpm = 0.0;  // of what was used
    std::string speed_of = {};                        // "engine_speed_rpm", "gnss_speed_km_h" ..., both with " and "
    std::string left_out = {};                        // one sentence; empty where it was used
    /// Torque from the smoothed speed of this pull alone, to look at beside the curve; not what that was made from.
    std::vector<TorqueCurvePoint> quick_view = {};
};

/// A stretch of a log in which the car rolled in neutral.
struct PowerCoast {
    std::size_t log = 0;
    double start_s = 0.0, end_s = 0.0;
    double from_km_h = 0.0, to_km_h = 0.0;
    std::string direction = {}, speed_of = {};
};

/// Force that holds the car back on the level in still air.
struct RoadResistance {
    double speed_km_h = 0.0, force_n = 0.0, force_sd_n = 0.0;
};

/// What coasting told of the car's resistance, a + b v + c v^2 on the level in still air, or why it tells nothing.
struct PowerCoastdown {
    std::vector<PowerCoast> stretches = {};
    std::string refused = {};
    double a_n = 0.0, b_n_per_m_s = 0.0, c_n_per_m2_s2 = 0.0;
    double air_density_kg_m3 = 0.0;  // of the air that c holds for
    std::vector<RoadResistance> resistance = {};
};

struct PowerReport {
    std::string job = {};
    std::vector<std::string> logs = {};
    std::vector<PowerSet> sets = {};  // in the order the logs were given; the last one is what the report is about
    std::vector<PowerDifference> differences = {};
    std::vector<PowerPull> pulls = {};
    std::optional<PowerCoastdown> coastdown = {};  // where a log holds coasting
    std::vector<Excluded> excluded = {};
    std::vector<std::string> assumptions = {};  // what was taken for granted, one sentence each
    Goal goal = {};
};

}  // namespace revwright
