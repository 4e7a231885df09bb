#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/log.h"
#include "rig/drive.h"
#include "rig/moment.h"
#include "rig/random.h"

namespace revwright::rig {

/// What the planted faults do to the car at one instant.
struct FaultEffects {
    double lambda_share = 0.0;  // 0..1 towards lambda_towards
    double lambda_towards = 0.96;
    double lambda_offset = 0.0;
    double boost_low_share = 0.0;   // 0..1: boost is held under target by kBoostError
    double boost_high_share = 0.0;  // the same, over target
    double throttle_cap_pct = 100.0;
    double fuel_pressure_factor = 1.0;
    double intake_share = 0.0;        // of kHotIntakeK
    double exhaust_share = 0.0;       // towards 1040 C
    double weak_cylinder_deg = -1.0;  // 0 or above: that cylinder's borderline is so far below its table spark
    double boost_swing_kpa = 0.0;     // around target
    bool boost_given_out = false;     // the wastegate is shut and boost still too low
    double misfire_share = 0.0;       // of the combustions of one cylinder
    bool force_knock = false;         // one event now
};
inline constexpr double kBoostErrorKpa = 19.0;
inline constexpr double kHotIntakeK = 26.0;
inline constexpr double kHotExhaustC = 1040.0;
inline constexpr double kSwingHz = 1.6;
inline constexpr double kWiderHousing = 1.18;    // area over the standard one
inline constexpr double kLeakShare = 0.20;       // of the metered air, at full boost
inline constexpr double kPartLoadLeak = 0.12;    // air past the meter, below atmospheric pressure
inline constexpr double kSmallInjectors = 1.75;  // times the opening time
inline constexpr double kColdStartC = 17.0;
inline constexpr double kColdStartLean = 0.30;  // lambda too high until the engine is warm

/// The faults of one run, with the places where they act.
class PlantedFaults {
public:
    /// spark_speeds: breakpoints of the spark table, so that knock in "the same cell" is in one cell.
    static Result<PlantedFaults> make(const std::vector<Fault>& faults, int pulls, int cylinders, std::uint64_t seed,
                                      std::vector<double> spark_speeds);
    bool has(std::string_view name) const;
    double place(std::string_view name) const;  // rpm; 0 where the fault is not planted or has no place
    int cylinder() const { return cylinder_; }  // the one that suffers, counts from 0
    int chosen_pull() const { return chosen_pull_; }
    int pulls() const { return pulls_; }
    /// pull counts from 0; below 0 outside full load.
    FaultEffects effects(double rpm, int pull);
    const std::vector<Fault>& list() const { return faults_; }
    double swing_phase() const { return swing_phase_; }
    int stuck_channel() const { return stuck_channel_; }  // 0, 1, 2: which channel sticks

private:
    std::vector<Fault> faults_;
    int cylinder_ = 0;
    int chosen_pull_ = 0;
    int pulls_ = 1;
    int stuck_channel_ = 0;
    double swing_phase_ = 0.0;
    int knocked_in_pull_ = -1;
};

/// The pull in which faults of the recording sit; null where there is none.
const TruthPull* spoiled_pull(const PlantedFaults& faults, const std::vector<TruthPull>& pulls);

/// Where each planted fault shows most in the run, for the truth.
std::vector<TruthFault> fault_places(const PlantedFaults& faults, const std::vector<Moment>& moments,
                                     const std::vector<TruthPull>& pulls);

}  // namespace revwright::rig
