#include "rig/random.h"

#include <bit>
#include <cassert>
#include <cmath>

namespace revwright::rig {
namespace {

std::uint64_t splitmix(std::uint64_t& x) {
    x += 0x9E3779B97F4A7C15ULL;
    std::uint64_t z = x;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t stream) {
    std::uint64_t x = seed;
    x = splitmix(x) ^ (stream * 0xD1B54A32D192ED03ULL);
    for (auto& word : state_) word = splitmix(x);
}

std::uint64_t Random::next() {
    auto& s = state_;
    const std::uint64_t result = std::rotl(s[1] * 5, 7) * 9;
    const std::uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = std::rotl(s[3], 45);
    return result;
}

double Random::uniform() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }

double Random::uniform(double low, double high) { return low + (high - low) * uniform(); }

double Random::normal(double mean, double sd) {
    // Marsaglia's polar method; the second value is dropped to keep the generator without hidden state.
    for (;;) {
        const double u = 2.0 * uniform() - 1.0;
        const double v = 2.0 * uniform() - 1.0;
        const double s = u * u + v * v;
        if (s > 0.0 && s < 1.0) return mean + sd * u * std::sqrt(-2.0 * std::log(s) / s);
    }
}

double Random::normal_within(double mean, double sd, double sigmas) {
    for (;;) {
        const double z = normal(0.0, 1.0);
        if (std::abs(z) <= sigmas) return mean + sd * z;
    }
}

bool Random::chance(double probability) { return uniform() < probability; }

int Random::below(int count) {
    assert(count > 0);
    return static_cast<int>(next() % static_cast<std::uint64_t>(count));
}

int Random::poisson(double mean) {
    assert(mean >= 0.0 && mean < 500.0);
    const double floor = std::exp(-mean);
    double product = uniform();
    int events = 0;
    while (product > floor) {
        product *= uniform();
        ++events;
    }
    return events;
}

}  // namespace revwright::rig
