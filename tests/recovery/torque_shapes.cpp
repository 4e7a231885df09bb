#include "recovery/torque_shapes.h"

#include <algorithm>
#include <cmath>

namespace revwright {
namespace {

TorqueOfSpeed aspirated(double highest_nm, PowerRandom& random) {
    const double top = random.uniform(3600.0, 5200.0), fall = random.uniform(0.06, 0.14);
    const double wave = random.uniform(0.0, 0.02), length = random.uniform(1500.0, 2500.0);
    return [=](double rpm) {
        const double away = (rpm - top) / 2000.0;
        return highest_nm * (1.0 - fall * away * away + wave * std::sin(2.0 * std::numbers::pi * rpm / length));
    };
}

TorqueOfSpeed turbocharged(double highest_nm, double bend_from, double bend_to, double loss, PowerRandom& random) {
    const double boost = random.uniform(1900.0, 2700.0), width = random.uniform(180.0, 320.0);
    const double bend = random.uniform(bend_from, bend_to), missing = random.uniform(0.25, 0.5);
    return [=](double rpm) {
        const double built_up = 1.0 - missing / (1.0 + std::exp((rpm - boost) / width));
        const double beyond = 300.0 * std::log1p(std::exp((rpm - bend) / 300.0)) / 1000.0;
        return highest_nm * built_up * std::max(0.3, 1.0 - loss * beyond);
    };
}

}  // namespace

TorqueOfSpeed random_torque(double highest_nm, PowerRandom& random) {
    const double kind = random.uniform(0.0, 3.0);
    if (kind < 1.0) return aspirated(highest_nm, random);
    const bool falls_early = kind > 2.0;
    const double loss = falls_early ? random.uniform(0.12, 0.20) : random.uniform(0.10, 0.25);
    return turbocharged(highest_nm, falls_early ? 3200.0 : 4600.0, falls_early ? 4000.0 : 5600.0, loss, random);
}

TorqueOfSpeed revised_torque(TorqueOfSpeed before, PowerRandom& random) {
    const double level = random.uniform(-0.02, 0.12), hump = random.uniform(-0.05, 0.05);
    const double middle = random.uniform(2800.0, 5500.0);
    return [=](double rpm) {
        const double away = (rpm - middle) / 1000.0;
        return before(rpm) * (1.0 + level + hump * std::exp(-away * away));
    };
}

}  // namespace revwright
