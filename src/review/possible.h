#pragma once

#include "model/channel.h"

namespace revwright {

/// Whether a value can be a reading at all.
enum class ReadingKind {
    possible,
    not_available,      // a code that says there is no value, or what an unplugged sensor reads
    negative_pressure,  // an absolute pressure below zero: it is gauge, or not a pressure
    impossible,         // outside what any car shows
};

/// What a single value of a signal is, by itself. Ranges are far outside any road car (our choice, common practice, no
/// source); codes are all bits set in the usual integer encodings, with the scaling where it is a standard one
/// (0.125 rpm: SAE J1939-71).
ReadingKind reading(Signal signal, double value);

/// What a temperature channel shows with its sensor unplugged or shorted: the ends of the common 8-bit encodings
/// (-40 to 215 C: SAE J1979; -48 to 143.25 C: common practice, no source). Only to be believed beside other values.
bool is_end_of_temperature_code(Signal signal, double value);

}  // namespace revwright
