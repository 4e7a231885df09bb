#pragma once

#include <optional>

#include "core/quantity.h"
#include "physics/air.h"

namespace revwright {

/// What the air was while power was measured.
struct TestAir {
    AbsolutePressure pressure;  // barometric
    Temperature temperature;    // of the air the engine drew in
    std::optional<RelativeHumidity> humidity =
        {};  // unknown: the air is taken as dry, which makes the factor too small
};

/// Barometric pressure less the vapour in it. Source: Dalton's law with [WagnerPruss2002].
AbsolutePressure dry_pressure(const TestAir& air);

/// What power as measured is multiplied by to stand for the reference air: 99 kPa dry, 25 C.
struct PowerCorrection {
    double factor = 1.0;
    bool within_limits = true;  // false: the standard does not stand for a correction as large as this
};

/// ISO 1585, spark ignition: (99 kPa / p_dry)^1.2 * ((t + 273) / 298)^0.6, for factors of 0.93 to 1.07.
///
/// Source: [UNR85], the same law (second hand); the limits from memory and a public test. An engine whose boost
/// control makes up for the ambient air is not corrected a second time: the caller takes 1 for it ([UNR85], supplement
/// 7, rule read in its summary only).
PowerCorrection iso_1585(const TestAir& air);

/// SAE J1349 (1990 and later), spark ignition: 1.18 (99 kPa / p_dry) sqrt((t + 273) / 298) - 0.18.
///
/// Source: [SAEJ1349] (second hand). Limits from memory: 15 to 35 C, 90 to 105 kPa dry, a correction of 3 % at most.
PowerCorrection sae_j1349(const TestAir& air);

}  // namespace revwright
