#pragma once

#include <vector>

#include "rig/drive.h"
#include "rig/moment.h"
#include "rig/vehicle.h"

namespace revwright::rig {

enum class Act { stand, drive_off, hold, full, part, lift, flat_shift };
enum class Event { none, wheel_slip, clutch_slip, intervention };

/// One line of the driver's script.
struct Segment {
    Act act = Act::stand;
    int gear = 0;
    double seconds = 0.0;    // stand, hold (once at speed), lift; for full the longest time, 0 = none
    double speed_m_s = 0.0;  // hold
    double to_rpm = 0.0;     // full, part
    double pedal_pct = 0.0;  // part, lift
    Event event = Event::none;
    double event_rpm = 0.0;
};

/// The plan as a script for this car. `early_rpm` above 0 ends every pull there; `late_rpm` above 0 starts it there.
std::vector<Segment> make_script(const DrivePlan& plan, const Vehicle& vehicle, double max_speed_rpm,
                                 std::uint64_t seed, double early_rpm, double late_rpm);

/// What the driver's feet and hand do now.
struct DriverOrder {
    double pedal_pct = 0.0;
    double brake_m_s2 = 0.0;
    bool clutch_open = true;
    bool standing = true;
    int gear = 0;
    double slip = 0.0;  // engine speed above what road speed and gear say, as a share
    Slip slip_kind = Slip::none;
    bool intervention = false;
    Mark mark = Mark::none;
    int segment = 0;
    bool done = false;
};

class Driver {
public:
    /// at_limiter_s above 0: full load ends only after so long at the engine's highest speed.
    Driver(std::vector<Segment> script, const Vehicle& vehicle, double at_limiter_s = 0.0, double max_speed_rpm = 0.0)
        : script_(std::move(script)), vehicle_(&vehicle), at_limiter_s_(at_limiter_s), max_speed_rpm_(max_speed_rpm) {}
    DriverOrder step(double dt_s, double speed_m_s, double engine_speed_rpm);

private:
    void begin_next();
    void run_stand();
    void run_drive_off(double dt_s, double rpm);
    void run_hold(double dt_s, double speed_m_s);
    void run_full(double dt_s, double rpm);
    void run_flat_shift();
    void move_pedal(double dt_s, double towards_pct);
    bool shifting(double dt_s, int gear);
    void run_event(double dt_s, double rpm);
    bool far_enough(double dt_s, double rpm);

    std::vector<Segment> script_;
    const Vehicle* vehicle_;
    double at_limiter_s_ = 0.0;
    double max_speed_rpm_ = 0.0;
    double limited_s_ = 0.0;
    std::size_t at_ = 0;
    double in_segment_s_ = 0.0;
    double at_speed_s_ = 0.0;
    double shift_s_ = -1.0;
    double event_s_ = -1.0;
    double integral_pct_ = 0.0;
    bool finished_ = false;
    DriverOrder order_;
};

}  // namespace revwright::rig
