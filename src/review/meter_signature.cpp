#include "review/meter_signature.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "review/filling.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source. The wider ones hold where the volumetric efficiency is only a usual figure,
// which moves over engine speed by as much.
constexpr double kSameKnown = 0.04, kSameUsual = 0.12;  // spread over a pull that counts as none
constexpr double kNearKnown = 0.04, kNearUsual = 0.10;  // from the area ratio of a housing
constexpr double kPartAgrees = 0.06;
constexpr double kPartLoadShare = 0.85;  // of ambient pressure
constexpr double kPartLoadRpm = 1200.0;
constexpr std::size_t kLeastPartLoad = 20;

/// Medians of the first, second, third and last quarter of the pull.
std::array<double, 4> quarters(const std::vector<double>& values) {
    std::array<double, 4> found{};
    for (std::size_t q = 0; q < 4; ++q) {
        const auto from = values.begin() + static_cast<std::ptrdiff_t>(q * values.size() / 4);
        const auto to = values.begin() + static_cast<std::ptrdiff_t>((q + 1) * values.size() / 4);
        found[q] = median({from, to});
    }
    return found;
}

const Hardware* unscaled_housing(const std::vector<Hardware>& hardware) {
    for (const Hardware& part : hardware)
        if (part.kind == HardwareKind::air_meter && part.rescaled == false && part.bore_mm && part.bore_mm->after > 0.0)
            return &part;
    return nullptr;
}

std::optional<MeterSignature> housing(const Hardware* part, double share, bool known) {
    if (!part) return std::nullopt;
    const double bore = part->bore_mm->after / part->bore_mm->before;
    const double area = bore * bore;
    if (std::abs(share * area - 1.0) > (known ? kNearKnown : kNearUsual)) return std::nullopt;
    if (std::abs(area - 1.0) < 0.01) return std::nullopt;
    return MeterSignature{
        fmt::format("it does so by the same share at all speeds, as its housing of {:g} mm instead of {:g} mm explains "
                    "(area ratio {:.3f}): rescale the meter's curve by that ratio",
                    part->bore_mm->after, part->bore_mm->before, area),
        {"air_meter"}};
}

}  // namespace

MeterSignature signature_of(const MeterShares& shares, const std::vector<Hardware>& hardware) {
    const std::array<double, 4> share = quarters(shares.full);
    const auto [low, high] = std::ranges::minmax(share);
    const double middle = median(shares.full);
    const bool same = high - low <= (shares.known ? kSameKnown : kSameUsual) * middle;
    if (same)
        if (auto fits = housing(unscaled_housing(hardware), middle, shares.known)) return *fits;
    if (middle > 1.0 && shares.part && std::abs(*shares.part - 1.0) <= kPartAgrees)
        return {"at part load they agree, so under boost air is lost between meter and engine: look for a leak",
                {"hardware"}};
    if (middle < 1.0 && !same && share[0] < share[3] && std::abs(share[3] - 1.0) <= kPartAgrees)
        return {"most at little flow and hardly at much, so air comes in behind the meter: look for a leak",
                {"hardware"}};
    if (same && middle < 1.0)
        return {
            "it does so by the same share at all speeds, as a curve of the wrong scale does, or air that comes in "
            "between meter and compressor",
            {"air_meter", "hardware"}};
    if (same)
        return {"it does so by the same share at all speeds, as a curve of the wrong scale does, or a leak under boost",
                {"air_meter", "hardware"}};
    return {
        "neither a wrong scale nor a leak explains how it goes over engine speed: look at the meter, its place and "
        "the intake sensors",
        {"air_meter", "hardware"}};
}

std::optional<double> part_load_filling(const RunView& run) {
    if (!run.find(Signal::manifold_pressure_kpa)) return std::nullopt;
    const double most_kpa = kPartLoadShare * run.ambient_pressure_kpa().value;
    const Log::Span span = run.log().span();
    std::vector<double> values;
    double from = span.start_s;
    const auto collect = [&](double to) {
        for (const Filling& sample : fillings(run, from, to))
            if (sample.manifold_kpa < most_kpa && sample.speed_rpm > kPartLoadRpm) values.push_back(sample.value);
    };
    for (const Pull& pull : run.pulls) {
        collect(pull.start_s - 0.5);
        from = pull.end_s + 2.0;
    }
    collect(span.end_s);
    if (values.size() < kLeastPartLoad) return std::nullopt;
    return median(std::move(values));
}

}  // namespace revwright
