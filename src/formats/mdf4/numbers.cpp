#include "formats/mdf4/numbers.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstring>
#include <type_traits>

namespace revwright::mdf4 {
namespace {

template <class T>
T swapped(T value) {
    std::array<std::uint8_t, sizeof(T)> bytes;
    std::memcpy(bytes.data(), &value, sizeof(T));
    std::ranges::reverse(bytes);
    std::memcpy(&value, bytes.data(), sizeof(T));
    return value;
}

/// IEEE 754 binary16.
double half(std::uint16_t bits) {
    const int exponent = (bits >> 10) & 0x1F, fraction = bits & 0x3FF;
    const double magnitude = exponent == 0    ? std::ldexp(fraction, -24)
                             : exponent == 31 ? (fraction == 0 ? HUGE_VAL : std::nan(""))
                                              : std::ldexp(fraction + 1024, exponent - 25);
    return (bits & 0x8000) != 0 ? -magnitude : magnitude;
}

double signed_number(std::uint64_t value, unsigned bits) {
    const unsigned above = 64 - bits;
    return static_cast<double>(static_cast<std::int64_t>(value << above) >> above);
}

/// Numbers that fill their bytes.
template <class T, bool Big, bool Scaled>
void read_whole(const NumberField& field, const std::uint8_t* records, std::size_t stride, std::size_t count,
                const Scaling& scaling, double* out) {
    const std::uint8_t* from = records + field.byte_offset;
    const double offset = scaling.offset, factor = scaling.factor;
    for (std::size_t i = 0; i < count; ++i, from += stride) {
        T raw = load<T>(from);
        if constexpr (Big) raw = swapped(raw);
        const auto number = static_cast<double>(raw);
        out[i] = Scaled ? offset + factor * number : number;
    }
}

/// Bits within the bytes of a T, least significant byte first, of a record that has room for a T there.
template <class T, bool Scaled>
void read_bits(const NumberField& field, const std::uint8_t* records, std::size_t stride, std::size_t count,
               const Scaling& scaling, double* out) {
    const std::uint8_t* from = records + field.byte_offset;
    const std::uint64_t mask = ~std::uint64_t{0} >> (64 - field.bits);
    for (std::size_t i = 0; i < count; ++i, from += stride) {
        const std::uint64_t raw = (std::uint64_t{load<T>(from)} >> field.shift) & mask;
        const double number = field.is_signed ? signed_number(raw, field.bits) : static_cast<double>(raw);
        out[i] = Scaled ? scaling.offset + scaling.factor * number : number;
    }
}

template <bool Scaled>
void read_any(const NumberField& field, const std::uint8_t* records, std::size_t stride, std::size_t count,
              const Scaling& scaling, double* out) {
    for (std::size_t i = 0; i < count; ++i, records += stride) {
        const std::uint64_t raw = bits_of(field, records);
        double number = 0.0;
        if (!field.is_float)
            number = field.is_signed ? signed_number(raw, field.bits) : static_cast<double>(raw);
        else if (field.bits == 16)
            number = half(static_cast<std::uint16_t>(raw));
        else
            number = field.bits == 32 ? static_cast<double>(std::bit_cast<float>(static_cast<std::uint32_t>(raw)))
                                      : std::bit_cast<double>(raw);
        out[i] = Scaled ? scaling.offset + scaling.factor * number : number;
    }
}

template <bool Big, bool Scaled>
NumberReader whole_reader(const NumberField& field) {
    if (field.is_float) return field.bits == 32 ? read_whole<float, Big, Scaled> : read_whole<double, Big, Scaled>;
    switch (field.bits) {
        case 8:
            return field.is_signed ? read_whole<std::int8_t, false, Scaled> : read_whole<std::uint8_t, false, Scaled>;
        case 16:
            return field.is_signed ? read_whole<std::int16_t, Big, Scaled> : read_whole<std::uint16_t, Big, Scaled>;
        case 32:
            return field.is_signed ? read_whole<std::int32_t, Big, Scaled> : read_whole<std::uint32_t, Big, Scaled>;
        default:
            return field.is_signed ? read_whole<std::int64_t, Big, Scaled> : read_whole<std::uint64_t, Big, Scaled>;
    }
}

template <bool Scaled>
NumberReader reader_of(const NumberField& field, std::size_t record_bytes) {
    const bool whole = field.shift == 0 && field.bits == 8 * field.bytes && std::has_single_bit(field.bytes) &&
                       (!field.is_float || field.bits >= 32);
    if (whole) return field.big ? whole_reader<true, Scaled>(field) : whole_reader<false, Scaled>(field);
    const std::size_t container = std::bit_ceil(field.bytes);
    if (field.big || field.is_float || container > 8 || field.byte_offset + container > record_bytes)
        return read_any<Scaled>;
    switch (container) {
        case 1:
            return read_bits<std::uint8_t, Scaled>;
        case 2:
            return read_bits<std::uint16_t, Scaled>;
        case 4:
            return read_bits<std::uint32_t, Scaled>;
        default:
            return read_bits<std::uint64_t, Scaled>;
    }
}

}  // namespace

NumberField number_field(const ChannelPlan& channel) {
    const auto type = channel.data_type;
    NumberField field{
        .byte_offset = channel.byte_offset,
        .shift = channel.bit_offset,
        .is_signed = type == DataType::signed_little || type == DataType::signed_big,
        .big = type == DataType::unsigned_big || type == DataType::signed_big || type == DataType::float_big,
        .is_float = channel.is_float()};
    if (!field.big) {
        field.byte_offset += field.shift / 8;
        field.shift %= 8;
    }
    const std::uint32_t bits = channel.bit_count;
    const bool exists = field.is_float ? bits == 16 || bits == 32 || bits == 64 : bits >= 1 && bits <= 64;
    if (!exists || field.shift > 7) return field;
    field.bits = bits;
    field.bytes = (field.shift + bits + 7) / 8;
    return field;
}

std::uint64_t bits_of(const NumberField& field, const std::uint8_t* record) {
    std::array<std::uint8_t, 16> bytes{};
    std::memcpy(bytes.data(), record + field.byte_offset, field.bytes);
    if (field.big) std::reverse(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(field.bytes));
    std::uint64_t value = load<std::uint64_t>(bytes.data()) >> field.shift;
    if (field.shift > 0) value |= std::uint64_t{bytes[8]} << (64 - field.shift);
    return value & (~std::uint64_t{0} >> (64 - field.bits));
}

NumberReader number_reader(const NumberField& field, bool scaled, std::size_t record_bytes) {
    return scaled ? reader_of<true>(field, record_bytes) : reader_of<false>(field, record_bytes);
}

}  // namespace revwright::mdf4
