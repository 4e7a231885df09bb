#pragma once

#include <cstdint>

namespace revwright::second {

/// Numbers by chance, the same on every machine: SplitMix64 [Steele2014], whole numbers only until the last step.
class Chance {
public:
    explicit Chance(std::uint64_t seed, std::uint64_t stream = 0)
        : state_(seed * 0x9E3779B97F4A7C15ULL + stream * 0xD1B54A32D192ED03ULL) {
        next();
    }
    double share() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }  // 0 .. 1
    double between(double low, double high) { return low + (high - low) * share(); }
    int below(int count) { return static_cast<int>(next() % static_cast<std::uint64_t>(count)); }
    bool one_in(int count) { return below(count) == 0; }
    /// Standard deviation 1, never beyond 3.5: the sum of twelve shares less six, cut.
    double normal() {
        double sum = -6.0;
        for (int i = 0; i < 12; ++i) sum += share();
        return sum > 3.5 ? 3.5 : sum < -3.5 ? -3.5 : sum;
    }

private:
    std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    }
    std::uint64_t state_;
};

}  // namespace revwright::second
