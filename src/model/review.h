#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/digest.h"
#include "model/job.h"

namespace revwright {

/// How full load was driven: through the speeds, or held at one of them on a brake dynamometer.
enum class PullKind { acceleration, hold };
std::string_view to_string(PullKind kind);

/// One full-load acceleration in one gear, or a hold at one engine speed. Times on the log's own clock.
struct Pull {
    std::size_t index = 0;  // over all logs of a review
    std::size_t log = 0;    // index of the log in the review's input
    double start_s = 0.0;   // full pedal reached or speed begins to rise under it, whichever is later
    double end_s = 0.0;     // last sample under full pedal in that gear
    std::optional<int> gear = {};
    double speed_from_rpm = 0.0;
    double speed_to_rpm = 0.0;
    PullKind kind = PullKind::acceleration;
    /// Which way: equal ones are the same way, pulls with another one were driven the other way or across. Empty: not
    /// known, or on a dynamometer. See review/directions.h.
    std::string direction = {};
    std::optional<double> heading_deg = {};  // clockwise from north, where the log tells
    /// From here on the speed limiter cut the fuel, and the probe shows air.
    std::optional<double> limiter_from_s = {};
    /// The mixture is the engine's up to here.
    double fuelled_to_s() const { return limiter_from_s.value_or(end_s); }
};

/// What is known of the drive a log is of.
struct ReviewedRun {
    std::size_t log = 0;
    std::optional<Digest> image = {};  // nothing where the job sheet ties the log to no image
    bool standard = false;             // of the standard image
    std::optional<RunPlace> place = {};
    std::string direction = {};
    std::string fuel_batch = {};
    std::optional<double> ron = {}, occupants_kg = {}, slope_pct = {}, ambient_temp_c = {}, ambient_pressure_kpa = {};
};

enum class ExclusionReason { part_pedal, shift, wheel_slip, lift_off, cold_oil, too_short, clutch_slip, intervention };
std::string_view to_string(ExclusionReason reason);

/// A stretch that is not a pull though it may look like one, and why.
struct Excluded {
    std::size_t log = 0;
    double start_s = 0.0, end_s = 0.0;
    ExclusionReason reason = ExclusionReason::part_pedal;
};

enum class Severity { clear, watch, mend, stop };
std::string_view to_string(Severity severity);

/// What an unchecked check means: required ones hold the job up.
enum class Standing { required, modelled, where_fitted };
std::string_view to_string(Standing standing);

/// A rule applied to a pull, and what it found.
struct Finding {
    std::string check = {};
    Severity severity = Severity::clear;
    std::optional<std::size_t> pull = {};  // Pull::index; nothing outside any pull
    std::optional<std::size_t> log = {};   // where it was found
    double engine_speed_rpm = 0.0;         // at the worst point
    double time_s = 0.0;                   // of the worst point
    double duration_s = 0.0;
    double value = 0.0;
    double limit = 0.0;   // the threshold that decided the severity; for `clear` the first one
    double margin = 0.0;  // positive inside the limit, in the limit's unit
    std::string unit = {};
    std::vector<std::string> levers = {};       // roles that may cure it, or "hardware"
    std::string source = {};                    // of the limit
    std::optional<int> cylinder = {};           // counts from 1
    bool modelled = false;                      // judged on a modelled value at k sigma
    std::string text = {};                      // one sentence: what, where, how bad, what may cure it
    std::optional<double> standard_value = {};  // of the standard car's run at this engine speed
};

struct NotChecked {
    std::string check;
    std::vector<std::string> missing;  // canonical channels
    Standing standing = Standing::where_fitted;
    std::optional<std::size_t> log = {};
    std::string text = {};
};

struct Review {
    std::vector<std::string> logs;  // file names, as Pull::log counts them
    std::vector<Pull> pulls;
    std::vector<Excluded> excluded;
    std::vector<Finding> findings;  // worst first within a severity; `clear` ones last
    std::vector<NotChecked> not_checked;
    std::vector<ReviewedRun> runs = {};   // one per log
    std::vector<std::string> notes = {};  // what a reader should know beside the findings, one sentence each
};

}  // namespace revwright
