#include <algorithm>
#include <fmt/format.h>

#include "propose/bounds/bounds.h"

namespace revwright {
namespace {

constexpr double kReserveK = 50.0;           // for what a pull is too short to show. METHODS 6.2: sd 40 K without a fit
constexpr double kKelvinPerLambda = 1000.0;  // 10 K for each 0.01, the upper end of METHODS 6.1

}  // namespace

/// Leaner is hotter: only with the exhaust measured, and only as far as its margin reaches.
std::optional<Cap> temperature_cap(const Situation& s, const TableSituation& t, const CellSituation&) {
    if (t.role() != Role::lambda_target) return std::nullopt;
    if (!s.exhaust_temp_c)
        return Cap{0.0, Bound::temperature,
                   "leaner is hotter, and exhaust temperature before the turbine was not measured"};
    const double margin = *s.input.job.limits.at("exhaust_temp_c").mend - *s.exhaust_temp_c;
    return Cap{std::max(0.0, (margin - kReserveK) / kKelvinPerLambda), Bound::temperature,
               fmt::format("exhaust temperature has {:.0f} K of margin, of which {:.0f} K stay in reserve", margin,
                           kReserveK)};
}

}  // namespace revwright
