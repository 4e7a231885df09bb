#include "model/coding.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <limits>

namespace revwright {
namespace {

constexpr double kExactPart = 1e-6;  // of a resolution

std::uint32_t to_bits(RawType type, double raw) {
    if (type == RawType::f32) return std::bit_cast<std::uint32_t>(static_cast<float>(raw));
    // Through 64 bits, so that a negative count becomes its two's complement.
    return static_cast<std::uint32_t>(static_cast<std::int64_t>(raw));
}

double from_bits(RawType type, std::uint32_t bits) {
    switch (type) {
        case RawType::i8:
            return static_cast<std::int8_t>(bits);
        case RawType::i16:
            return static_cast<std::int16_t>(bits);
        case RawType::i32:
            return static_cast<std::int32_t>(bits);
        case RawType::f32:
            return std::bit_cast<float>(bits);
        case RawType::u8:
        case RawType::u16:
        case RawType::u32:
            return bits;
    }
    return 0.0;
}

/// The greatest float not above x (or the least not below), x within the finite floats.
double float_toward(double x, double allowance, bool down) {
    const float nearest = static_cast<float>(x);
    const double beyond = down ? nearest - x : x - nearest;
    if (beyond <= allowance) return nearest;
    constexpr float kEnd = std::numeric_limits<float>::infinity();
    return std::nextafter(nearest, down ? -kEnd : kEnd);
}

/// The greatest count of the type not above `exact`, or the least not below it.
std::optional<double> count_toward(RawType type, double exact, double allowance, bool down) {
    const RawRange range = raw_range(type);
    if (down ? exact < range.low - allowance : exact > range.high + allowance) return std::nullopt;
    const double inside = std::clamp(exact, range.low, range.high);
    const double whole = down ? std::floor(inside + allowance) : std::ceil(inside - allowance);
    const double count = type == RawType::f32 ? float_toward(inside, allowance, down) : whole;
    return std::clamp(count, range.low, range.high);
}

/// The greatest count whose physical value does not exceed `value`, or the least that does not fall below it.
std::optional<double> physical_toward(const Coding& coding, double value, bool down) {
    const double exact = (value - coding.offset) / coding.factor;
    const double allowance = std::isfinite(exact) ? slack(coding, exact) / std::abs(coding.factor) : 0.0;
    return count_toward(coding.type, exact, allowance, down == (coding.factor > 0.0));
}

}  // namespace

double read_raw(std::span<const std::uint8_t> bytes, const Coding& coding) {
    assert(bytes.size() == size_of(coding.type));
    std::uint32_t bits = 0;
    for (std::size_t i = 0; i < bytes.size(); ++i)
        bits = bits << 8 | bytes[coding.order == ByteOrder::big ? i : bytes.size() - 1 - i];
    return from_bits(coding.type, bits);
}

void write_raw(std::span<std::uint8_t> bytes, const Coding& coding, double raw) {
    assert(bytes.size() == size_of(coding.type));
    assert(raw >= raw_range(coding.type).low && raw <= raw_range(coding.type).high);
    std::uint32_t bits = to_bits(coding.type, raw);
    for (std::size_t i = bytes.size(); i-- > 0; bits >>= 8)
        bytes[coding.order == ByteOrder::big ? i : bytes.size() - 1 - i] = static_cast<std::uint8_t>(bits & 0xFF);
}

RawRange raw_range(RawType type) {
    switch (type) {
        case RawType::u8:
            return {0.0, 255.0};
        case RawType::i8:
            return {-128.0, 127.0};
        case RawType::u16:
            return {0.0, 65535.0};
        case RawType::i16:
            return {-32768.0, 32767.0};
        case RawType::u32:
            return {0.0, 4294967295.0};
        case RawType::i32:
            return {-2147483648.0, 2147483647.0};
        case RawType::f32:
            return {-std::numeric_limits<float>::max(), std::numeric_limits<float>::max()};
    }
    return {};
}

double resolution(const Coding& coding, double raw) {
    if (coding.type != RawType::f32) return std::abs(coding.factor);
    // One step below the greatest float, so that the step above is finite too.
    constexpr float kGreatest = std::numeric_limits<float>::max();
    const float size =
        std::min(static_cast<float>(std::min(std::abs(raw), double{kGreatest})), std::nextafter(kGreatest, 0.0f));
    return std::abs(coding.factor) * (std::nextafter(size, kGreatest) - double{size});
}

double slack(const Coding& coding, double raw) {
    const double rounding =
        4.0 * std::numeric_limits<double>::epsilon() * (std::abs(coding.factor * raw) + std::abs(coding.offset));
    return std::max(kExactPart * resolution(coding, raw), rounding);
}

std::optional<double> exact_raw(const Coding& coding, double value) {
    if (!std::isfinite(value)) return std::nullopt;
    for (const bool down : {true, false}) {
        const auto raw = physical_toward(coding, value, down);
        if (raw && std::abs(physical(coding, *raw) - value) <= slack(coding, *raw)) return raw;
    }
    return std::nullopt;
}

std::optional<double> raw_toward(const TableDescription& table, double wanted, Direction direction) {
    if (!std::isfinite(wanted)) return std::nullopt;
    constexpr double kEnd = std::numeric_limits<double>::infinity();
    const double low = table.min.value_or(-kEnd), high = table.max.value_or(kEnd);
    const auto allowed = [&](std::optional<double> raw) {
        if (!raw) return false;
        const double value = physical(table.coding, *raw);
        return value >= low - slack(table.coding, *raw) && value <= high + slack(table.coding, *raw);
    };
    const auto keep = [&](std::optional<double> raw) { return allowed(raw) ? raw : std::nullopt; };
    const auto below = [&] { return keep(physical_toward(table.coding, std::min(wanted, high), true)); };
    const auto above = [&] { return keep(physical_toward(table.coding, std::max(wanted, low), false)); };
    if (direction == Direction::down) return below();
    if (direction == Direction::up) return above();

    const auto down = below(), up = above();
    if (!down || !up) return down ? down : up;
    const auto distance = [&](double raw) { return std::abs(physical(table.coding, raw) - wanted); };
    return distance(*down) <= distance(*up) ? down : up;
}

}  // namespace revwright
