#pragma once

#include <cstdint>
#include <optional>
#include <span>

#include "model/description.h"

namespace revwright {

/// The count that lies in `bytes`, exactly size_of(coding.type) of them. A double holds every count of every type.
double read_raw(std::span<const std::uint8_t> bytes, const Coding& coding);
/// The inverse of read_raw. Precondition: raw is a count of the type (whole and in range; for f32 a float).
void write_raw(std::span<std::uint8_t> bytes, const Coding& coding, double raw);

constexpr double physical(const Coding& coding, double raw) { return coding.factor * raw + coding.offset; }

struct RawRange {
    double low = 0.0, high = 0.0;
};
/// Least and greatest count a type holds; for f32 the finite ones.
RawRange raw_range(RawType type);

/// Physical step from one count to the next; for f32 the step at this count.
double resolution(const Coding& coding, double raw);

/// How far a physical value may lie from a count and still be that count: 1e-6 of a resolution, and never less than the
/// rounding of the arithmetic itself.
double slack(const Coding& coding, double raw);

/// The count whose physical value is `value`, to within slack; nothing where there is none in the type's range.
std::optional<double> exact_raw(const Coding& coding, double value);

/// Which side of a wanted value is safe: the caller knows (more spark is not, more fuel is).
enum class Direction { nearest, down, up };

/// The count to store for a wanted physical value.
///
/// down  the greatest value that does not exceed the wanted one      up  the least that does not fall below it
/// Both in physical value, also where the factor is negative; a value within slack of a count is that count. The result
/// keeps to the table's min and max and to its type's range. Nothing where no count does all of that, or the wanted
/// value is not finite.
std::optional<double> raw_toward(const TableDescription& table, double wanted, Direction direction);

}  // namespace revwright
