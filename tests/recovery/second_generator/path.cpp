#include "recovery/second_generator/path.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "recovery/second_generator/chance.h"

namespace revwright::second {
namespace {

constexpr double kGearLeavesSeconds = 0.1;  // after the clutch opened

constexpr double kFullPedal = 95.0;
// What the program calls a pull; common practice, no source. Planted stretches keep well off these numbers.
constexpr double kPullSeconds = 1.5, kPullRpm = 800.0;

/// Moves the car from leg to leg and writes down each instant.
class Driver {
public:
    Driver(const TraceCar& car, std::uint64_t seed) : car_(car), chance_(seed, 21) {}

    DrivenPath take() {
        path_.slowest_climb_s = climb_rpm_ > 0.0 ? 1000.0 * climb_s_ / climb_rpm_ : 1.0;
        return std::move(path_);
    }

    void off(double seconds) {
        for (double s = 0.0; s < seconds; s += kInstantSeconds) {
            rpm_ = 0.0;
            running_ = false;
            note(0, 0.0);
        }
    }
    void start() {
        running_ = true;
        for (double s = 0.0; s < 0.9; s += kInstantSeconds) turn(230.0, 0.15), note(0, 0.0);
        for (double s = 0.0; s < 0.7; s += kInstantSeconds) turn(1350.0, 0.2), note(0, 0.0);
    }
    void idle(double seconds) {
        for (double s = 0.0; s < seconds; s += kInstantSeconds) {
            v_ *= 0.99;
            turn(car_.idle_rpm + 12.0 * std::sin(2.1 * now_) + 8.0 * std::sin(5.3 * now_ + 1.0), 0.4);
            note(0, 0.0);
        }
    }
    /// Goes to a road speed and keeps it, in the highest gear up to `gear` that turns the engine fast enough.
    void hold(int gear, double m_s, double seconds) {
        double steady = 0.0;
        for (double s = 0.0; steady < seconds && s < 60.0; s += kInstantSeconds) {
            const double wanted = std::clamp(1.5 * (m_s - v_), -2.2, 1.9);
            accel_ += kInstantSeconds / 0.3 * (wanted - accel_);
            v_ = std::max(0.0, v_ + accel_ * kInstantSeconds);
            const int in = fitting(gear);
            turn(std::max(synchronous(in), v_ < 4.0 ? 1300.0 : car_.idle_rpm), 0.1);
            note(in, std::clamp(14.0 + 18.0 * accel_, 0.0, 55.0));
            if (std::abs(m_s - v_) < 0.25) steady += kInstantSeconds;
        }
    }
    /// Ready for a pull at that engine speed.
    void ready(int gear, double rpm) { hold(gear, road_speed(rpm, gear), 1.5); }

    /// Full pedal until the engine speed or the time is reached.
    void full(int gear, double to_rpm, double most_seconds = 60.0) {
        begin_pull();
        press(gear);
        const double began = now_, from = rpm_;
        double s = 0.0;
        for (; s < most_seconds && rpm_ < to_rpm; s += kInstantSeconds) {
            pull_on(gear, 1.0);
            note(gear, 100.0);
        }
        climb_s_ += s, climb_rpm_ += rpm_ - from;
        keep({began, now_ - kInstantSeconds, gear}, rpm_ - from);
    }
    /// Bounces off the speed limiter with the pedal down; belongs to the pull before it.
    void bounce(int gear, double seconds) {
        const double top = car_.job.engine.max_speed_rpm;
        for (double s = 0.0; s < seconds; s += kInstantSeconds) {
            rpm_ = top - 12.0 - 14.0 * std::sin(2.0 * std::numbers::pi * 5.0 * s);
            v_ = road_speed(rpm_, gear);
            note(gear, 100.0);
        }
        if (!path_.pulls.empty()) path_.pulls.back().end_s = now_ - kInstantSeconds;
    }
    void release(int gear) {
        in_pull_ = false;
        for (double s = 0.0; s < 0.12; s += kInstantSeconds) {
            pull_on(gear, 0.3);
            note(gear, 100.0 * (1.0 - s / 0.12) - 5.1);
        }
    }
    /// On the overrun, fuel cut.
    void coast(int gear, double seconds) {
        for (double s = 0.0; s < seconds; s += kInstantSeconds) {
            v_ = std::max(5.0, v_ - 1.4 * kInstantSeconds);
            rpm_ = std::max(synchronous(gear), car_.idle_rpm);
            note(gear, 0.0);
        }
    }
    void lift(int gear, double seconds, double pedal) {
        for (double s = 0.0; s < seconds; s += kInstantSeconds) {
            v_ -= 0.3 * kInstantSeconds;
            rpm_ = synchronous(gear);
            note(gear, pedal);
        }
    }
    /// A gear change under full pedal: the speed flares, then falls to the next gear's.
    void flat_shift(int to, double seconds) {
        const double flare = chance_.between(20.0, 160.0), from = rpm_;
        for (double s = 0.0; s < seconds; s += kInstantSeconds) {
            v_ -= 0.2 * kInstantSeconds;
            const double x = s / seconds;
            const double fall = x < 0.35 ? 0.0 : (x - 0.35) / 0.65;
            const double top = from + flare * std::sin(std::numbers::pi * std::min(1.0, x / 0.5));
            rpm_ = top + (synchronous(to) - top) * (3.0 - 2.0 * fall) * fall * fall;
            note(s < kGearLeavesSeconds ? to - 1 : x < 0.9 ? 0 : to, 100.0);
        }
    }
    void part(int gear, double to_rpm, double pedal) {
        const double began = now_;
        for (double s = 0.0; s < 60.0 && rpm_ < to_rpm; s += kInstantSeconds) {
            pull_on(gear, 0.62);
            note(gear, std::min(pedal, 30.0 + 200.0 * s));
        }
        path_.stretches.push_back({began, now_, ExclusionReason::part_pedal});
    }
    void stretch(double from, double to, ExclusionReason reason) { path_.stretches.push_back({from, to, reason}); }

    double now() const { return now_; }
    double rpm() const { return rpm_; }

private:
    double ratio(int gear) const {
        return car_.job.car.gear_ratios[static_cast<std::size_t>(gear) - 1] * car_.job.car.final_drive;
    }
    double synchronous(int gear) const { return v_ / car_.job.car.rolling_circumference_m * 60.0 * ratio(gear); }
    double road_speed(double rpm, int gear) const {
        return rpm / 60.0 / ratio(gear) * car_.job.car.rolling_circumference_m;
    }
    int fitting(int most) const {
        int gear = most;
        while (gear > 1 && synchronous(gear) < 1500.0) --gear;
        return gear;
    }
    void turn(double to_rpm, double lag_s) { rpm_ += kInstantSeconds / lag_s * (to_rpm - rpm_); }

    /// One step of acceleration at that share of the full torque.
    void pull_on(int gear, double share) {
        const Car& car = car_.job.car;
        const double x = rpm_ / car_.job.engine.max_speed_rpm;
        const double nm = car_.peak_nm * (1.0 - 0.35 * std::pow((x - 0.6) / 0.4, 2.0));
        const bool turbo = car_.job.engine.turbocharged();
        const double can = turbo ? 0.55 + 0.45 / (1.0 + std::exp(-(rpm_ - car_.spool_rpm) / 250.0)) : 1.0;
        fill_ += kInstantSeconds / (turbo ? 0.45 : 0.08) * (can * share - fill_);
        const double per_m = 2.0 * std::numbers::pi * ratio(gear) / car.rolling_circumference_m;
        const double mass = 1.03 * car.mass_kg + car_.job.engine.inertia_kg_m2 * per_m * per_m;
        const double against = car_.dyno ? 60.0 : 0.012 * 9.81 * car.mass_kg + 0.6 * 0.68 * v_ * v_;
        v_ += kInstantSeconds * std::max(0.25, (nm * fill_ * per_m * 0.88 - against) / mass);
        rpm_ = synchronous(gear);
    }
    void begin_pull() {
        in_pull_ = true;
        ++pull_;
        since_ = now_;
        fill_ = car_.job.engine.turbocharged() ? 0.4 : 0.7;
    }
    void press(int gear) {
        const double from = pedal_;
        const double seconds = from > 90.0 ? 0.0 : chance_.between(0.05, 0.2);
        for (double s = 0.0; s < seconds; s += kInstantSeconds) {
            pull_on(gear, 0.3 + 0.7 * s / seconds);
            note(gear, std::min(from + (kFullPedal - 0.1 - from) * s / seconds, kFullPedal - 0.1));
        }
        since_ = now_;
    }
    void keep(const DrivenPull& pull, double rpm) {
        if (pull.end_s - pull.start_s < kPullSeconds || rpm < kPullRpm) return;
        path_.pulls.push_back(pull);
    }
    void note(int gear, double pedal) {
        pedal_ = std::clamp(pedal, 0.0, 100.0);
        Instant now;
        now.t = now_;
        now.pull = in_pull_ ? pull_ : -1;
        now.since_s = in_pull_ ? now_ - since_ : 0.0;
        now.gear = gear;
        now.climb_rpm_s = path_.instants.empty() ? 0.0 : (rpm_ - path_.instants.back().rpm) / kInstantSeconds;
        now.rpm = rpm_;
        now.speed_km_h = 3.6 * v_;
        now.pedal_pct = pedal_;
        now.running = running_;
        now.fuel_cut = running_ && gear > 0 && pedal_ < 1.0 && rpm_ > 1500.0;
        path_.instants.push_back(now);
        now_ += kInstantSeconds;
    }

    const TraceCar& car_;
    Chance chance_;
    DrivenPath path_;
    double now_ = 0.0, v_ = 0.0, accel_ = 0.0, rpm_ = 0.0, pedal_ = 0.0, fill_ = 0.4, since_ = 0.0;
    double climb_s_ = 0.0, climb_rpm_ = 0.0;
    int pull_ = -1;
    bool running_ = true, in_pull_ = false;
};

void cool_down(Driver& driver, const TraceCar& car, double seconds) {
    const int high = std::min(static_cast<int>(car.job.car.gear_ratios.size()), car.pull_gear + 2);
    driver.hold(high, 22.0, seconds);
}

void one_pull(Driver& driver, const TraceCar& car, double to_rpm, const DriveWish& wish) {
    driver.ready(car.pull_gear, car.from_rpm);
    driver.full(car.pull_gear, wish.on_the_limiter ? car.job.engine.max_speed_rpm - 12.0 : to_rpm);
    if (wish.on_the_limiter) driver.bounce(car.pull_gear, 1.2);
    driver.release(car.pull_gear);
    driver.coast(car.pull_gear, 2.5);
}

void shift_under_load(Driver& driver, const TraceCar& car, double seconds) {
    const int gear = car.pull_gear - 1;
    driver.ready(gear, car.from_rpm + 200.0);
    driver.full(gear, 0.82 * car.job.engine.max_speed_rpm);
    const double from = driver.now();
    driver.flat_shift(gear + 1, seconds);
    driver.stretch(from, driver.now(), ExclusionReason::shift);
    driver.full(gear + 1, std::max(driver.rpm() + 1000.0, 0.8 * car.job.engine.max_speed_rpm));
    driver.release(gear + 1);
}

void lift_and_on(Driver& driver, const TraceCar& car) {
    driver.ready(car.pull_gear, car.from_rpm);
    driver.full(car.pull_gear, car.from_rpm + 1400.0);
    const double from = driver.now();
    driver.release(car.pull_gear);
    driver.lift(car.pull_gear, 0.8, 25.0);
    driver.stretch(from, driver.now(), ExclusionReason::lift_off);
    driver.full(car.pull_gear, car.from_rpm + 3200.0);
    driver.release(car.pull_gear);
}

void something_else(Driver& driver, const TraceCar& car, int which) {
    switch (which) {
        case 0:
            driver.ready(car.pull_gear, car.from_rpm);
            driver.part(car.pull_gear, car.from_rpm + 2300.0, 72.0);
            driver.coast(car.pull_gear, 1.0);
            break;
        case 1: {
            driver.ready(car.pull_gear, car.from_rpm + 600.0);
            const double from = driver.now();
            driver.full(car.pull_gear, 9000.0, 0.9);
            driver.stretch(from, driver.now(), ExclusionReason::too_short);
            driver.release(car.pull_gear);
            driver.coast(car.pull_gear, 1.0);
            break;
        }
        case 2:
            shift_under_load(driver, car, 0.35);
            break;
        case 3:
            lift_and_on(driver, car);
            break;
        default:
            break;
    }
    cool_down(driver, car, 5.0);
}

}  // namespace

DrivenPath drive_path(const TraceCar& car, std::uint64_t seed, const DriveWish& wish) {
    Chance chance(seed, 22);
    Driver driver(car, seed);
    if (wish.cold_engine || chance.one_in(3)) {
        driver.off(3.0);
        driver.start();
    }
    driver.idle(wish.cold_engine ? 45.0 : chance.between(6.0, 10.0));
    // A cold engine is driven warm before any full load.
    cool_down(driver, car, chance.between(10.0, 14.0) + (wish.cold_engine ? 120.0 : 0.0));
    if (wish.one_short_pull) {
        driver.ready(car.pull_gear, car.from_rpm);
        driver.full(car.pull_gear, 0.70 * car.job.engine.max_speed_rpm);
        driver.release(car.pull_gear);
        cool_down(driver, car, 4.0);
        return driver.take();
    }
    const int pulls = 2 + chance.below(2);
    for (int i = 0; i < pulls; ++i) {
        one_pull(driver, car, car.to_rpm - (i == 2 ? chance.between(0.0, 900.0) : 0.0), wish);
        cool_down(driver, car, chance.between(6.0, 9.0));
    }
    if (wish.slow_shift)
        shift_under_load(driver, car, 0.9);
    else if (!wish.on_the_limiter)
        something_else(driver, car, chance.below(6));
    driver.idle(4.0);
    return driver.take();
}

}  // namespace revwright::second
