#pragma once

#include <vector>

#include "model/log.h"
#include "rig/drive.h"
#include "rig/moment.h"

namespace revwright::rig {

/// Lambda in the exhaust as the sensor gives it: transport delay a + b / exhaust flow, then a first-order lag.
class LambdaProbe {
public:
    explicit LambdaProbe(const Hidden& car) : car_(&car), line_(kLine, 1.0) {}
    /// One step of 1 ms.
    void step(double lambda, double exhaust_flow_kg_s, double flow_scale_kg_s);
    double reading() const { return reading_; }

private:
    static constexpr std::size_t kLine = 512;  // ms; the delay is capped below it
    const Hidden* car_;
    std::vector<double> line_;
    std::size_t at_ = 0;
    double reading_ = 1.0;
};

double logger_period_s(LoggerKind kind);

/// The moments as a logger records them: canonical channels on one time base, each with its noise, resolution and rate.
Log record(const std::vector<Moment>& moments, LoggerKind kind, int cylinders, bool direct_injection, bool turbocharged,
           std::uint64_t seed);

}  // namespace revwright::rig
