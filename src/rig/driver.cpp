#include "rig/driver.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "rig/random.h"

namespace revwright::rig {
namespace {

constexpr double kShift = 0.45;      // clutch open, s
constexpr double kFlatShift = 0.30;  // with the pedal down
constexpr double kCruise = 25.0;     // m/s between pulls
constexpr std::uint64_t kScriptStream = 3;

struct EventShape {
    double seconds, depth;
};
EventShape shape_of(Event event) {
    switch (event) {
        case Event::wheel_slip:
            return {0.9, 0.14};
        case Event::clutch_slip:
            return {1.8, 0.08};
        case Event::intervention:
            return {0.7, 0.0};
        case Event::none:
            break;
    }
    return {0.0, 0.0};
}

struct ScriptWriter {
    const DrivePlan& plan;
    const Vehicle& vehicle;
    int gear;
    double from_rpm, to_rpm;
    double least_rpm = 0.0;  // no full load below it, in stretches either
    std::vector<Segment> script = {};

    void cool_down() {
        const int high = std::min(vehicle.gears(), gear + 2);
        script.push_back({.act = Act::hold, .gear = high, .seconds = plan.cool_down_s, .speed_m_s = kCruise});
    }
    void ready(int in_gear, double rpm) {
        script.push_back(
            {.act = Act::hold, .gear = in_gear, .seconds = 2.0, .speed_m_s = vehicle.speed_m_s(rpm, in_gear)});
    }
    void full(int in_gear, double rpm, Event event = Event::none, double event_rpm = 0.0, double seconds = 0.0) {
        script.push_back({.act = Act::full,
                          .gear = in_gear,
                          .seconds = seconds,
                          .to_rpm = rpm,
                          .event = event,
                          .event_rpm = event_rpm});
    }
    double start(double usual_rpm) const { return std::max(usual_rpm, least_rpm); }
    void add(StretchKind kind);
};

void ScriptWriter::add(StretchKind kind) {
    cool_down();
    const int low = std::min(2, vehicle.gears());
    const int high = std::min(vehicle.gears(), gear + 2);
    switch (kind) {
        case StretchKind::part_pedal:
            ready(gear, from_rpm);
            // Wide enough to look like a pull, wherever it starts.
            script.push_back(
                {.act = Act::part, .gear = gear, .to_rpm = std::max(4600.0, from_rpm + 1200.0), .pedal_pct = 70.0});
            break;
        case StretchKind::stab:
            ready(gear, start(2600.0));
            full(gear, to_rpm, Event::none, 0.0, 0.9);
            break;
        case StretchKind::shift_at_full:
            ready(gear, start(2200.0));
            full(gear, 5200.0);
            script.push_back({.act = Act::flat_shift, .gear = std::min(gear + 1, vehicle.gears())});
            full(std::min(gear + 1, vehicle.gears()), 5100.0);
            break;
        case StretchKind::lift_off:
            ready(gear, from_rpm);
            full(gear, std::max(3800.0, from_rpm + 1000.0));
            script.push_back({.act = Act::lift, .gear = gear, .seconds = 1.0, .pedal_pct = 30.0});
            full(gear, std::max(5600.0, from_rpm + 2500.0));
            break;
        case StretchKind::wheel_slip:
            ready(low, start(2200.0));
            full(low, to_rpm, Event::wheel_slip, start(2200.0) + 1000.0);
            break;
        case StretchKind::clutch_slip:
            ready(high, start(2400.0));
            full(high, std::max(4600.0, start(2400.0) + 1500.0), Event::clutch_slip, start(2400.0) + 700.0);
            break;
        case StretchKind::intervention:
            ready(gear, from_rpm);
            // Torque is given back before the pull ends: what is never given back is a limiter, and no intervention.
            full(gear, to_rpm, Event::intervention, std::min(4100.0, to_rpm - 600.0));
            break;
        case StretchKind::cold_oil:
            break;  // a matter of the oil, not of the driver
    }
}

}  // namespace

std::vector<Segment> make_script(const DrivePlan& plan, const Vehicle& vehicle, double max_speed_rpm,
                                 std::uint64_t seed, double early_rpm, double late_rpm) {
    const int gear = plan.gear > 0 ? std::min(plan.gear, vehicle.gears()) : std::min(3, vehicle.gears());
    const double top = plan.to_rpm > 0.0 ? std::min(plan.to_rpm, max_speed_rpm - 100.0) : max_speed_rpm - 300.0;
    ScriptWriter writer{.plan = plan,
                        .vehicle = vehicle,
                        .gear = gear,
                        .from_rpm = late_rpm > 0.0 ? late_rpm : plan.from_rpm,
                        .to_rpm = early_rpm > 0.0 ? std::min(early_rpm, top) : top,
                        .least_rpm = late_rpm};
    const int high = std::min(vehicle.gears(), gear + 2);
    writer.script.push_back({.act = Act::stand, .seconds = plan.idle_s});
    writer.script.push_back({.act = Act::drive_off, .gear = std::min(4, high)});
    writer.script.push_back({.act = Act::hold, .gear = high, .seconds = plan.cruise_s, .speed_m_s = kCruise});
    for (int pull = 0; pull < plan.pulls; ++pull) {
        if (pull > 0) writer.cool_down();
        writer.ready(gear, writer.from_rpm);
        writer.full(gear, writer.to_rpm);
    }
    for (const StretchKind kind : plan.stretches) writer.add(kind);
    Random random{seed, kScriptStream};
    for (int i = 0; i < plan.random_stretches; ++i) writer.add(static_cast<StretchKind>(random.below(7)));
    writer.script.push_back({.act = Act::hold, .gear = high, .seconds = 4.0, .speed_m_s = kCruise});
    return writer.script;
}

void Driver::move_pedal(double dt_s, double towards_pct) {
    const double up = 400.0 * dt_s;
    const double down = 600.0 * dt_s;
    order_.pedal_pct += std::clamp(towards_pct - order_.pedal_pct, -down, up);
}

void Driver::begin_next() {
    in_segment_s_ = at_speed_s_ = 0.0;
    shift_s_ = event_s_ = -1.0;
    integral_pct_ = 0.0;
    limited_s_ = 0.0;
    order_.brake_m_s2 = 0.0;
    if (++at_ >= script_.size()) finished_ = true;
}

/// True while the clutch is open for a change to `gear`; closes it at the end.
bool Driver::shifting(double dt_s, int gear) {
    if (shift_s_ < 0.0) shift_s_ = 0.0;
    shift_s_ += dt_s;
    order_.clutch_open = true;
    move_pedal(dt_s, 0.0);
    if (shift_s_ > 0.5 * kShift) order_.gear = gear;
    if (shift_s_ < kShift) return true;
    shift_s_ = -1.0;
    order_.clutch_open = false;
    return false;
}

void Driver::run_stand() {
    order_.standing = order_.clutch_open = true;
    order_.gear = 0;
    if (in_segment_s_ >= script_[at_].seconds) begin_next();
}

void Driver::run_drive_off(double dt_s, double rpm) {
    if (order_.standing) {
        order_.standing = order_.clutch_open = false;
        order_.gear = 1;
    }
    if (shift_s_ >= 0.0) {
        shifting(dt_s, order_.gear >= 1 && shift_s_ <= 0.5 * kShift ? order_.gear + 1 : order_.gear);
        return;
    }
    if (order_.gear >= script_[at_].gear) return begin_next();
    move_pedal(dt_s, 30.0);
    if (rpm > 2700.0) shift_s_ = 0.0;
}

void Driver::run_hold(double dt_s, double speed_m_s) {
    const Segment& now = script_[at_];
    // A lower gear is taken only once the car is slow enough for it.
    if (order_.gear != now.gear && (now.gear > order_.gear || speed_m_s < 1.3 * now.speed_m_s)) {
        shifting(dt_s, now.gear);
        return;
    }
    if (shift_s_ >= 0.0 && shifting(dt_s, now.gear)) return;
    const double error = now.speed_m_s - speed_m_s;
    order_.brake_m_s2 = error < -0.8 ? 2.2 : 0.0;
    integral_pct_ = std::abs(error) < 1.5 ? std::clamp(integral_pct_ + 6.0 * error * dt_s, -20.0, 30.0) : integral_pct_;
    move_pedal(dt_s, error < -0.8 ? 0.0 : std::clamp(10.0 + integral_pct_ + 8.0 * error, 0.0, 45.0));
    // Only with the engine pulling: overrun air takes a while to leave the exhaust.
    if (std::abs(error) < 0.8 && order_.pedal_pct > 1.0) at_speed_s_ += dt_s;
    if (at_speed_s_ >= now.seconds || in_segment_s_ > now.seconds + 40.0) begin_next();
}

void Driver::run_event(double dt_s, double rpm) {
    const Segment& now = script_[at_];
    order_.slip = 0.0;
    order_.slip_kind = Slip::none;
    order_.intervention = false;
    if (now.event == Event::none) return;
    if (event_s_ < 0.0 && rpm >= now.event_rpm) event_s_ = 0.0;
    if (event_s_ < 0.0) return;
    event_s_ += dt_s;
    const EventShape shape = shape_of(now.event);
    if (event_s_ >= shape.seconds) return;
    order_.slip = shape.depth * std::sin(std::numbers::pi * event_s_ / shape.seconds);
    if (now.event == Event::wheel_slip) order_.slip_kind = Slip::wheel;
    if (now.event == Event::clutch_slip) order_.slip_kind = Slip::clutch;
    order_.intervention = now.event == Event::intervention;
}

/// At the speed where the pull is to end, or long enough at the engine's speed limiter.
bool Driver::far_enough(double dt_s, double rpm) {
    if (at_limiter_s_ <= 0.0) return rpm >= script_[at_].to_rpm;
    if (rpm >= max_speed_rpm_ - 150.0) limited_s_ += dt_s;
    return limited_s_ >= at_limiter_s_;
}

void Driver::run_full(double dt_s, double rpm) {
    const Segment& now = script_[at_];
    order_.mark = Mark::full;
    move_pedal(dt_s, 100.0);
    run_event(dt_s, rpm);
    const bool over_time = now.seconds > 0.0 && in_segment_s_ >= now.seconds;
    const bool slipping = order_.slip_kind != Slip::none;
    if ((far_enough(dt_s, rpm) && !slipping) || over_time || in_segment_s_ > 60.0) {
        order_.slip = 0.0;
        order_.slip_kind = Slip::none;
        order_.intervention = false;
        begin_next();
    }
}

void Driver::run_flat_shift() {
    order_.mark = Mark::flat_shift;
    order_.clutch_open = in_segment_s_ < kFlatShift;
    if (in_segment_s_ > 0.5 * kFlatShift) order_.gear = script_[at_].gear;
    if (in_segment_s_ >= kFlatShift) begin_next();
}

DriverOrder Driver::step(double dt_s, double speed_m_s, double engine_speed_rpm) {
    if (finished_) {
        order_.done = true;
        return order_;
    }
    in_segment_s_ += dt_s;
    order_.mark = Mark::none;
    order_.segment = static_cast<int>(at_);
    const Segment& now = script_[at_];
    switch (now.act) {
        case Act::stand:
            run_stand();
            break;
        case Act::drive_off:
            run_drive_off(dt_s, engine_speed_rpm);
            break;
        case Act::hold:
            run_hold(dt_s, speed_m_s);
            break;
        case Act::full:
            run_full(dt_s, engine_speed_rpm);
            break;
        case Act::flat_shift:
            run_flat_shift();
            break;
        case Act::part:
            order_.mark = Mark::part;
            move_pedal(dt_s, now.pedal_pct);
            if (engine_speed_rpm >= now.to_rpm || in_segment_s_ > 30.0) begin_next();
            break;
        case Act::lift:
            order_.mark = Mark::lift;
            move_pedal(dt_s, now.pedal_pct);
            if (in_segment_s_ >= now.seconds) begin_next();
            break;
    }
    return order_;
}

}  // namespace revwright::rig
