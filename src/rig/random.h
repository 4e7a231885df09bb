#pragma once

#include <array>
#include <cstdint>

namespace revwright::rig {

/// Seeded generator with draws of our own, so that the same seed gives the same numbers with every standard library.
/// xoshiro256** started by splitmix64. Source: Blackman and Vigna, "Scrambled linear pseudorandom number generators".
class Random {
public:
    /// `stream` separates uses of one seed: the car, the day, the sensors.
    explicit Random(std::uint64_t seed, std::uint64_t stream = 0);
    std::uint64_t next();
    double uniform();                         // [0, 1)
    double uniform(double low, double high);  // [low, high)
    double normal(double mean, double sd);
    /// A normal draw kept within `sigmas` deviations: hidden parameters never run away.
    double normal_within(double mean, double sd, double sigmas);
    bool chance(double probability);
    int below(int count);  // 0 .. count-1
    /// Number of events of a Poisson process; mean below 500 (Knuth's product method).
    int poisson(double mean);

private:
    std::array<std::uint64_t, 4> state_{};
};

}  // namespace revwright::rig
