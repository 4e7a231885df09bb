#pragma once

#include <vector>

#include "rig/control_unit.h"
#include "rig/driver.h"
#include "rig/exhaust.h"
#include "rig/faults.h"
#include "rig/knock.h"
#include "rig/moment.h"
#include "rig/sensors.h"
#include "rig/vehicle.h"

namespace revwright::rig {

/// Everything the simulated drive is made of; immutable data first, moving state behind.
struct SimulationParts {
    const JobSheet& job;
    Hidden car;
    Day day;
    AirPathData air;
    KnockConditions knock;
    Vehicle vehicle;
    ControlUnit unit;
    Driver driver;
    PlantedFaults faults;
    bool cold_oil = false;
    std::uint64_t seed = 1;
};

/// The drive in steps of 1 ms, the air path every 2 ms; driver and control unit act every 10 ms.
/// It points into itself and is not copied.
class Simulation {
public:
    explicit Simulation(SimulationParts parts);
    Simulation(const Simulation&) = delete;
    Simulation& operator=(const Simulation&) = delete;
    bool done() const { return order_.done; }
    void step();
    double time_s() const { return time_s_; }
    Moment moment() const;
    std::vector<TruthKnock> take_knocks() { return std::move(knocks_); }

private:
    void act();
    void count_pulls();
    void step_boost_and_air();
    void burn();
    void fire(int cylinder);
    void move();
    void warm();
    double mixture() const;
    double air_at_meter_kg_s() const;
    double cold_start_lean() const;
    KnockPoint knock_point() const;

    SimulationParts parts_;
    FuelData fuel_;
    Random random_;
    AirState air_;
    KnockControl control_;
    LambdaProbe probe_;
    ExhaustProbe exhaust_{450.0};
    DriverOrder order_;
    Commands commands_;
    FaultEffects effects_;
    std::vector<TruthKnock> knocks_;
    long ticks_ = 0;
    double time_s_ = 0.0;
    double rpm_ = 850.0;
    double speed_m_s_ = 0.0;
    double lambda_ = 1.0;
    double torque_nm_ = 0.0;
    double crank_deg_ = 0.0;
    int next_cylinder_ = 0;
    double exhaust_settled_c_ = 450.0;
    double charge_seen_c_ = 30.0;
    double coolant_c_ = 88.0;
    double oil_c_ = 92.0;
    double rail_mpa_ = 5.0;
    double misfires_ = 0.0;
    int pull_ = -1;  // counts full-load segments
    bool full_load_ = false;
    bool arrived_ = false;  // boost has reached its target in this pull
    bool overshooting_ = false;
};

}  // namespace revwright::rig
