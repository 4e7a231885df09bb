#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <random>
#include <span>

namespace revwright {

/// Random figures of a fixed seed, the same on every machine: the language fixes the generator, not its distributions.
class PowerRandom {
public:
    explicit PowerRandom(std::uint64_t seed) : bits_(seed) {}

    double uniform(double low, double high) {
        return low + (high - low) * (static_cast<double>(bits_() >> 11) * 0x1p-53);
    }
    /// Source: [BoxMuller1958] (from memory).
    double normal() {
        const double length = std::sqrt(-2.0 * std::log(1.0 - uniform(0.0, 1.0)));
        return length * std::cos(uniform(0.0, 2.0 * std::numbers::pi));
    }
    template <class T>
    T one_of(std::span<const T> choices) {
        return choices[static_cast<std::size_t>(uniform(0.0, static_cast<double>(choices.size())))];
    }

private:
    std::mt19937_64 bits_;
};

}  // namespace revwright
