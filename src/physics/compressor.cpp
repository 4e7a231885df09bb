#include "physics/compressor.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace revwright {
namespace {

/// The speed line at any speed within the map, blended of its two neighbours.
struct BlendedLine {
    const CompressorSpeedLine* slow;
    const CompressorSpeedLine* fast;
    double part;  // 0 = slow, 1 = fast

    double blend(double a, double b) const { return std::lerp(a, b, part); }
    double surge_flow() const { return blend(slow->points.front().flow_kg_s, fast->points.front().flow_kg_s); }
    double choke_flow() const { return blend(slow->choke_kg_s, fast->choke_kg_s); }
    double share_at(double flow) const { return (flow - surge_flow()) / (choke_flow() - surge_flow()); }
    /// Value of both lines the same share of the way from surge to choke.
    double at(double flow, double (*value)(const CompressorSpeedLine&, double)) const {
        const double share = share_at(flow);
        const auto of = [&](const CompressorSpeedLine& line) {
            return value(line, std::lerp(line.points.front().flow_kg_s, line.choke_kg_s, share));
        };
        return blend(of(*slow), of(*fast));
    }
};

BlendedLine line_at(const CompressorMap& map, double speed_rpm) {
    const auto lines = map.lines();
    const auto above = std::ranges::lower_bound(lines, speed_rpm, {}, &CompressorSpeedLine::speed_rpm) - lines.begin();
    const auto last = static_cast<std::ptrdiff_t>(lines.size()) - 1;
    const auto fast = static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(above, 1, last));
    const CompressorSpeedLine &a = lines[fast - 1], &b = lines[fast];
    return {&a, &b, std::clamp((speed_rpm - a.speed_rpm) / (b.speed_rpm - a.speed_rpm), 0.0, 1.0)};
}

}  // namespace

MassFlow corrected_flow(MassFlow flow, Temperature t1, AbsolutePressure p1, const CompressorReference& reference) {
    return flow * (std::sqrt(t1 / reference.temperature) / (p1.value / reference.pressure.value));
}

double shaft_speed_rpm(double map_speed_rpm, Temperature t1, const CompressorReference& reference) {
    return map_speed_rpm * std::sqrt(t1 / reference.temperature);
}

Temperature compressor_outlet(Temperature t1, double ratio, double efficiency) {
    return t1 * (1.0 + (std::pow(ratio, (kAirHeatRatio - 1.0) / kAirHeatRatio) - 1.0) / efficiency);
}

Power compressor_power(MassFlow flow, Temperature t1, Temperature t2) {
    return {flow.si * kAirHeatCapacity * (t2 - t1).si};
}

double map_ratio(const CompressorMap& map, double map_speed_rpm, MassFlow corrected) {
    return line_at(map, map_speed_rpm).at(corrected.si, ratio_at);
}

CompressorPlace place_in(const CompressorMap& map, MassFlow corrected, double ratio) {
    double slow = map.lines().front().speed_rpm, fast = map.lines().back().speed_rpm;
    CompressorPlace place;
    if (ratio < map_ratio(map, slow, corrected)) {
        place.range = CompressorPlace::Range::slower;
        fast = slow;
    } else if (ratio > map_ratio(map, fast, corrected)) {
        place.range = CompressorPlace::Range::faster;
        slow = fast;
    }
    while (fast - slow > 1e-9 * fast) {
        const double middle = std::midpoint(slow, fast);
        (map_ratio(map, middle, corrected) < ratio ? slow : fast) = middle;
    }
    place.map_speed_rpm = fast;
    const BlendedLine line = line_at(map, fast);
    place.choke_flow_kg_s = line.choke_flow();
    place.efficiency = line.at(corrected.si, efficiency_at);
    place.along = line.share_at(corrected.si);
    return place;
}

MassFlow surge_flow(const CompressorMap& map, double ratio) {
    double flow = 0.0, below = 1.0;
    for (const CompressorSpeedLine& line : map.lines()) {
        const CompressorMapPoint& end = line.points.front();
        if (ratio <= end.ratio) return {std::lerp(flow, end.flow_kg_s, (ratio - below) / (end.ratio - below))};
        flow = end.flow_kg_s, below = end.ratio;
    }
    return {flow};
}

double surge_margin(const CompressorMap& map, MassFlow corrected, double ratio) {
    return (corrected - surge_flow(map, ratio)) / corrected;
}

}  // namespace revwright
