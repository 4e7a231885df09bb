#include "model/compressor_map.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace revwright {
namespace {

double value_at(const CompressorSpeedLine& line, double flow, double CompressorMapPoint::* value) {
    const std::vector<CompressorMapPoint>& points = line.points;
    const auto after = std::ranges::lower_bound(points, flow, {}, &CompressorMapPoint::flow_kg_s);
    if (after == points.begin()) return points.front().*value;
    if (after == points.end()) return points.back().*value;
    const CompressorMapPoint& before = *(after - 1);
    return std::lerp(before.*value, (*after).*value, (flow - before.flow_kg_s) / (after->flow_kg_s - before.flow_kg_s));
}

Result<void> check_line(const CompressorSpeedLine& line) {
    if (line.points.size() < 2)
        return refuse(fmt::format("the speed line at {:.0f} rpm needs two points or more, found {}", line.speed_rpm,
                                  line.points.size()));
    for (std::size_t i = 1; i < line.points.size(); ++i)
        if (!(line.points[i].flow_kg_s > line.points[i - 1].flow_kg_s))
            return refuse(fmt::format("the speed line at {:.0f} rpm has the flow {:g} kg/s twice", line.speed_rpm,
                                      line.points[i].flow_kg_s));
    return {};
}

/// A faster line lies outside of a slower one, or a flow and a ratio would belong to two speeds.
Result<void> check_order(const CompressorSpeedLine& slow, const CompressorSpeedLine& fast) {
    const auto crossing = [&](const std::string& what) {
        return refuse(
            fmt::format("the speed lines at {:.0f} and {:.0f} rpm cross: {}", slow.speed_rpm, fast.speed_rpm, what));
    };
    if (!(fast.speed_rpm > slow.speed_rpm))
        return refuse(fmt::format("speed does not rise from {:.0f} to {:.0f} rpm", slow.speed_rpm, fast.speed_rpm));
    if (!(fast.points.front().ratio > slow.points.front().ratio)) return crossing("pressure at the surge end falls");
    if (!(fast.points.front().flow_kg_s >= slow.points.front().flow_kg_s))
        return crossing("flow at the surge end falls");
    const double both = std::min(slow.points.back().flow_kg_s, fast.points.back().flow_kg_s);
    for (const CompressorSpeedLine* line : {&slow, &fast})
        for (const CompressorMapPoint& point : line->points) {
            const double at = point.flow_kg_s;
            if (at <= both && !(ratio_at(fast, at) > ratio_at(slow, at)))
                return crossing(fmt::format("at {:g} kg/s the faster one gives no more pressure", at));
        }
    return {};
}

}  // namespace

double ratio_at(const CompressorSpeedLine& line, double flow_kg_s) {
    const CompressorMapPoint &before = *(line.points.end() - 2), &last = line.points.back();
    if (flow_kg_s <= last.flow_kg_s) return value_at(line, flow_kg_s, &CompressorMapPoint::ratio);
    const double slope = std::min(0.0, (last.ratio - before.ratio) / (last.flow_kg_s - before.flow_kg_s));
    return last.ratio + slope * (flow_kg_s - last.flow_kg_s);
}

double efficiency_at(const CompressorSpeedLine& line, double flow_kg_s) {
    return value_at(line, flow_kg_s, &CompressorMapPoint::efficiency);
}

Result<CompressorMap> CompressorMap::make(std::vector<CompressorSpeedLine> lines) {
    if (lines.size() < 2)
        return refuse(fmt::format("a compressor map needs two speed lines or more, found {}", lines.size()));
    for (const CompressorSpeedLine& line : lines)
        if (auto fine = check_line(line); !fine) return tl::unexpected(fine.error());
    if (!(lines.front().points.front().ratio > 1.0))
        return refuse(fmt::format("the speed line at {:.0f} rpm does not compress: its pressure ratio begins at {:g}",
                                  lines.front().speed_rpm, lines.front().points.front().ratio));
    for (std::size_t i = 1; i < lines.size(); ++i)
        if (auto fine = check_order(lines[i - 1], lines[i]); !fine) return tl::unexpected(fine.error());
    double choke = 0.0;
    for (CompressorSpeedLine& line : lines) line.choke_kg_s = choke = std::max(choke, line.points.back().flow_kg_s);
    return CompressorMap(std::move(lines));
}

}  // namespace revwright
