#pragma once

#include <span>
#include <vector>

#include "core/error.h"

namespace revwright {

/// One measured point of a compressor map.
struct CompressorMapPoint {
    double flow_kg_s = 0.0;   // corrected to the map's reference state
    double ratio = 0.0;       // outlet over inlet pressure
    double efficiency = 0.0;  // isentropic, 0 to 1
};

/// Points at one corrected shaft speed, from the surge side to the choke side.
struct CompressorSpeedLine {
    double speed_rpm = 0.0;  // corrected to the map's reference state
    std::vector<CompressorMapPoint> points = {};
    /// Highest flow of this line or a slower one, set by CompressorMap: a faster wheel passes no less, and some lines
    /// are not measured to their end.
    double choke_kg_s = 0.0;
};

/// What a compressor does: two or more speed lines that do not cross, slowest first.
/// make() is the only door, so code that holds one never checks it again:
///   every line has two points or more, flow strictly rising; the slowest begins above a pressure ratio of 1
///   from line to line speed and the pressure ratio at the surge end rise, and the flow there does not fall
///   at each flow measured up to the choke end of both, the faster one gives the higher pressure ratio
class CompressorMap {
public:
    static Result<CompressorMap> make(std::vector<CompressorSpeedLine> lines);
    std::span<const CompressorSpeedLine> lines() const { return lines_; }

private:
    explicit CompressorMap(std::vector<CompressorSpeedLine> lines) : lines_(std::move(lines)) {}
    std::vector<CompressorSpeedLine> lines_;
};

/// Pressure ratio of a line at a corrected flow, linear between its points. It is held before the surge end and goes on
/// falling behind the last point, since some lines are not measured as far as others.
double ratio_at(const CompressorSpeedLine& line, double flow_kg_s);
/// Efficiency likewise, held at both ends.
double efficiency_at(const CompressorSpeedLine& line, double flow_kg_s);

}  // namespace revwright
