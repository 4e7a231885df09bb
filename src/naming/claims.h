#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "core/unit.h"
#include "model/channel_sheet.h"
#include "model/log.h"

namespace revwright {

/// That a channel of the log is one of ours, and how its samples are to be taken.
struct Claim {
    std::size_t channel = 0;  // index into Log::channels
    ChannelKey key = {};
    std::string unit = {};  // what the samples are in; empty = the canonical unit
    bool gauge = false;
    double sign = 1.0;
    bool before_turbine = true;
    std::optional<Place> where = {};       // the sheet's row, or the log
    double air_fuel_stoichiometric = 0.0;  // with unit "AFR"
    UnitConversion to_ours = {};           // set by settle_unit()
    bool reciprocal = false;               // set by settle_unit(): lambda is 1 / the reading
    bool by_words = false;                 // settled from name, unit and data, not by a user

    /// A sample in the canonical unit; a gauge pressure stays gauge.
    double in_our_unit(double sample) const {
        const double converted = to_ours(sample);
        return sign * (reciprocal ? 1.0 / converted : converted);
    }
};

/// Units that need more than the unit table: "AFR" (lambda times a stoichiometric ratio), "phi" (1 / lambda), and a
/// trim written as "factor about 1" or "% about 100".
inline constexpr std::string_view kAirFuelRatio = "AFR", kEquivalence = "phi", kFactorAboutOne = "factor about 1",
                                  kPercentAboutHundred = "% about 100";

/// Finds how the claim's unit becomes the canonical one. Errors: it measures something else; gauge for what is no
/// pressure, or for the ambient pressure; "AFR" where the ratio is not known.
Result<void> settle_unit(Claim& claim, const std::string& channel_name);

/// What users settled: the sheet first, then headers that are canonical names.
struct UserClaims {
    std::vector<Claim> claims;
    std::vector<std::size_t> none_of_ours;  // channels a sheet says are no canonical one
};

/// Rows of the sheet that fit no channel are said in log.lost. Refuses two channels with one key, and two keys for one
/// channel.
Result<UserClaims> settle_claims(Log& log, const ChannelSheet* sheet);

/// Whether it holds numbers, and is the one to take where several groups hold it.
bool may_be_ours(const Channel& channel);

/// Whether a sheet's row names this channel, with the unit that its header shows or without.
bool is_named(const Channel& channel, std::string_view name);

}  // namespace revwright
