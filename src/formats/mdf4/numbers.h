#pragma once

#include <cstddef>
#include <cstdint>

#include "formats/mdf4/plan.h"

namespace revwright::mdf4 {

/// Where the bits of a number lie in a record.
struct NumberField {
    std::size_t byte_offset = 0;
    std::size_t bytes = 0;  // that hold its bits
    unsigned shift = 0;     // of its lowest bit
    unsigned bits = 0;
    bool is_signed = false, big = false, is_float = false;
};

/// The field of a channel of integers or floats; bits 0 where it is of a width that does not exist.
NumberField number_field(const ChannelPlan& channel);

/// offset + factor * raw, for records of one stride.
struct Scaling {
    double offset = 0.0, factor = 1.0;
};
using NumberReader = void (*)(const NumberField& field, const std::uint8_t* records, std::size_t stride,
                              std::size_t count, const Scaling& scaling, double* out);

/// The fastest loop that reads such a field. `scaled`: with a scaling, else the raw number. Integers beyond 2^53 are
/// rounded as doubles are.
/// Precondition: the field lies within records of `record_bytes`.
NumberReader number_reader(const NumberField& field, bool scaled, std::size_t record_bytes);

/// An unsigned number of up to 64 bits of one record.
std::uint64_t bits_of(const NumberField& field, const std::uint8_t* record);

}  // namespace revwright::mdf4
