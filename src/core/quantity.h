#pragma once

#include <compare>

namespace revwright {

/// A number that knows its dimension: exponents of length, mass, time, temperature. Held in SI.
/// Other units exist only where text or a file is read or written.
template <int L, int M, int T, int K>
struct Quantity {
    double si = 0.0;
    friend constexpr auto operator<=>(Quantity, Quantity) = default;
    friend constexpr Quantity operator+(Quantity a, Quantity b) { return {a.si + b.si}; }
    friend constexpr Quantity operator-(Quantity a, Quantity b) { return {a.si - b.si}; }
    friend constexpr Quantity operator*(double k, Quantity a) { return {k * a.si}; }
    friend constexpr Quantity operator*(Quantity a, double k) { return {k * a.si}; }
    friend constexpr Quantity operator/(Quantity a, double k) { return {a.si / k}; }
};

template <int A, int B, int C, int D, int E, int F, int G, int H>
constexpr auto operator*(Quantity<A, B, C, D> a, Quantity<E, F, G, H> b) {
    return Quantity<A + E, B + F, C + G, D + H>{a.si * b.si};
}
template <int A, int B, int C, int D, int E, int F, int G, int H>
constexpr auto operator/(Quantity<A, B, C, D> a, Quantity<E, F, G, H> b) {
    return Quantity<A - E, B - F, C - G, D - H>{a.si / b.si};
}
/// A ratio of two like quantities is a plain number.
template <int A, int B, int C, int D>
constexpr double operator/(Quantity<A, B, C, D> a, Quantity<A, B, C, D> b) {
    return a.si / b.si;
}

using Length = Quantity<1, 0, 0, 0>;
using Area = Quantity<2, 0, 0, 0>;
using Volume = Quantity<3, 0, 0, 0>;
using Mass = Quantity<0, 1, 0, 0>;
using Duration = Quantity<0, 0, 1, 0>;
using Temperature = Quantity<0, 0, 0, 1>;  // absolute
using Speed = Quantity<1, 0, -1, 0>;
using Frequency = Quantity<0, 0, -1, 0>;
using MassFlow = Quantity<0, 1, -1, 0>;
using Density = Quantity<-3, 1, 0, 0>;
using Pressure = Quantity<-1, 1, -2, 0>;
using Force = Quantity<1, 1, -2, 0>;
using Torque = Quantity<2, 1, -2, 0>;
using Power = Quantity<2, 1, -3, 0>;
using SpecificEnergy = Quantity<2, 0, -2, 0>;
using SpecificGasConstant = Quantity<2, 0, -2, -1>;

// One dimension, several meanings: each gets its own name, and the mix-up stops compiling.
struct GaugePressure {
    Pressure value;
};
struct AbsolutePressure {
    Pressure value;
};
constexpr AbsolutePressure absolute(GaugePressure gauge, AbsolutePressure barometer) {
    return {gauge.value + barometer.value};
}
struct Lambda {
    double value;  // 1 = stoichiometric, above 1 = lean
};
struct SparkAdvance {
    double crank_deg;  // positive = before top dead centre
};
struct EngineSpeed {
    double rpm;  // revolutions of the crankshaft per minute
};

// Doors from the units of the trade to SI, and back.
constexpr AbsolutePressure kilopascal(double kpa) { return {Pressure{kpa * 1e3}}; }
constexpr Temperature celsius(double c) { return {c + 273.15}; }
constexpr Temperature kelvin(double k) { return {k}; }
constexpr Speed kilometres_per_hour(double v) { return {v / 3.6}; }
constexpr double in_kilometres_per_hour(Speed v) { return v.si * 3.6; }

}  // namespace revwright
