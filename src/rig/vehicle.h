#pragma once

#include "model/job.h"
#include "rig/hidden.h"

namespace revwright::rig {

/// The car on the road, from the job sheet. Speeds in m/s.
class Vehicle {
public:
    explicit Vehicle(const JobSheet& job);
    int gears() const { return static_cast<int>(car_.gear_ratios.size()); }
    /// Engine speed at which clutch and tyres do not slip. gear counts from 1.
    double engine_speed_rpm(double speed_m_s, int gear) const;
    double speed_m_s(double engine_speed_rpm, int gear) const;
    /// Drag, rolling and slope, N; positive against the motion.
    double resistance_n(double speed_m_s, const Day& day) const;
    /// Force at the road of a crank torque; losses also help to brake.
    double thrust_n(double crank_torque_nm, int gear) const;
    /// Mass, wheels and, with a gear engaged (above 0), the engine's inertia, kg.
    double moving_mass_kg(int gear) const;
    double engine_inertia_kg_m2() const { return engine_inertia_kg_m2_; }

private:
    double overall(int gear) const { return car_.gear_ratios[static_cast<std::size_t>(gear - 1)] * car_.final_drive; }
    Car car_;
    double radius_m_;
    double engine_inertia_kg_m2_;
};

}  // namespace revwright::rig
