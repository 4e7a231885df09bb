#include "recovery/power_score.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "power/peak.h"
#include "power/road_fit.h"

namespace revwright {
namespace {

constexpr double kRpm = std::numbers::pi / 30.0, kTwoSided95 = 1.959964;
constexpr double kGridStep = 50.0;
constexpr double kEndKnot = 150.0;  // left out at either end where torque itself is judged
constexpr double kPeakEnd = 75.0;   // and where its peak is: half of that, as the report draws its curves

std::vector<double> grid(double from, double to) {
    std::vector<double> speeds;
    for (double rpm = std::ceil(from / kGridStep) * kGridStep; rpm <= to; rpm += kGridStep) speeds.push_back(rpm);
    return speeds;
}

struct Estimate {
    std::vector<double> speeds = {};
    Eigen::VectorXd torque = {};
    Eigen::MatrixXd covariance = {};
};

Estimate estimate_of(const RoadFit& fit, std::size_t curve, std::vector<double> speeds) {
    Eigen::MatrixXd rows(static_cast<Eigen::Index>(speeds.size()), fit.parameters.size());
    for (std::size_t i = 0; i < speeds.size(); ++i)
        rows.row(static_cast<Eigen::Index>(i)) = fit.torque_row(curve, speeds[i] * kRpm).transpose();
    return {std::move(speeds), rows * fit.parameters, rows * fit.covariance * rows.transpose()};
}

void add_point(CurveJudged& judged, double error, double sd, double truth) {
    judged.points += 1.0;
    judged.squares_pct += std::pow(100.0 * error / truth, 2);
    judged.sd_pct += 100.0 * sd / truth;
    judged.inside += std::abs(error) <= kTwoSided95 * sd ? 1.0 : 0.0;
}

CurveJudged judge_curve(const RoadFit& fit, std::size_t curve, const TrueCurve& truth) {
    CurveJudged judged;
    for (const double rpm : grid(truth.from_rpm + kEndKnot, truth.to_rpm - kEndKnot)) {
        const Eigen::VectorXd row = fit.torque_row(curve, rpm * kRpm);
        const double torque = truth.torque_nm(rpm);
        add_point(judged, row.dot(fit.parameters) - torque, std::sqrt(row.dot(fit.covariance * row)), torque);
    }
    return judged;
}

CurveJudged judge_difference(const RoadFit& fit, const TrueCurve& before, const TrueCurve& after) {
    CurveJudged judged;
    const double from = std::max(before.from_rpm, after.from_rpm), to = std::min(before.to_rpm, after.to_rpm);
    for (const double rpm : grid(from + kEndKnot, to - kEndKnot)) {
        const Eigen::VectorXd gain = fit.torque_row(1, rpm * kRpm) - fit.torque_row(0, rpm * kRpm);
        const double truth = after.torque_nm(rpm) - before.torque_nm(rpm);
        add_point(judged, gain.dot(fit.parameters) - truth, std::sqrt(gain.dot(fit.covariance * gain)),
                  before.torque_nm(rpm));
    }
    return judged;
}

PeakJudged judge_peak(const PowerPeak& peak, double truth) {
    return {100.0 * (peak.value - truth) / truth, 50.0 * (peak.interval.high - peak.interval.low) / truth,
            peak.interval.low <= truth && truth <= peak.interval.high};
}

void judge_peaks(PowerCaseJudged& judged, const RoadFit& fit, std::size_t curve, const TrueCurve& truth) {
    const Estimate estimate = estimate_of(fit, curve, grid(truth.from_rpm + kPeakEnd, truth.to_rpm - kPeakEnd));
    double power = 0.0, torque = 0.0;
    for (double rpm = estimate.speeds.front(); rpm <= estimate.speeds.back(); rpm += 1.0) {
        torque = std::max(torque, truth.torque_nm(rpm));
        power = std::max(power, truth.torque_nm(rpm) * rpm * kRpm / 1000.0);
    }
    const Peaks peaks = peaks_of(estimate.speeds, estimate.torque, estimate.covariance);
    judged.power.push_back(judge_peak(peaks.power_kw, truth.rated_kw > 0.0 ? truth.rated_kw : power));
    judged.torque.push_back(judge_peak(peaks.torque_nm, torque));
}

double percent(double part, double whole) { return whole > 0.0 ? 100.0 * part / whole : 0.0; }
double rms(double squares, double count) { return count > 0.0 ? std::sqrt(squares / count) : 0.0; }

}  // namespace

double CurveJudged::rms_pct() const { return rms(squares_pct, points); }

PowerCaseJudged judge(const PowerCase& of) {
    PowerCaseJudged judged{.name = of.name, .kind = of.kind, .channels = of.channels, .rate_hz = of.rate_hz};
    const auto fit = fit_road(of.told);
    if (!fit) {
        judged.failed = fit.error().what;
        return judged;
    }
    for (std::size_t curve = 0; curve < of.curves.size(); ++curve) {
        judged.curves.push_back(judge_curve(*fit, curve, of.curves[curve]));
        judge_peaks(judged, *fit, curve, of.curves[curve]);
    }
    if (of.curves.size() == 2) judged.differences.push_back(judge_difference(*fit, of.curves[0], of.curves[1]));
    return judged;
}

void PowerTally::add(const PowerCaseJudged& one) {
    ++cases;
    failed += one.failed.empty() ? 0 : 1;
    for (const CurveJudged& curve : one.curves) {
        ++curves;
        curve_squares += curve.squares_pct / curve.points;
        curve_inside += curve.inside / curve.points;
        claimed_sd += curve.sd_pct / curve.points;
    }
    for (const CurveJudged& difference : one.differences) {
        ++differences;
        difference_squares += difference.squares_pct / difference.points;
        difference_inside += difference.inside / difference.points;
    }
    power.insert(power.end(), one.power.begin(), one.power.end());
    torque.insert(torque.end(), one.torque.begin(), one.torque.end());
}

double PowerTally::torque_rms_pct() const { return rms(curve_squares, curves); }
double PowerTally::torque_inside_pct() const { return percent(curve_inside, curves); }
double PowerTally::difference_rms_pct() const { return rms(difference_squares, differences); }
double PowerTally::difference_inside_pct() const { return percent(difference_inside, differences); }

double mean_error_pct(const std::vector<PeakJudged>& peaks) {
    double sum = 0.0;
    for (const PeakJudged& peak : peaks) sum += peak.error_pct;
    return peaks.empty() ? 0.0 : sum / static_cast<double>(peaks.size());
}

double inside_pct(const std::vector<PeakJudged>& peaks) {
    return percent(static_cast<double>(std::ranges::count_if(peaks, &PeakJudged::inside)),
                   static_cast<double>(peaks.size()));
}

double median_error_pct(const std::vector<PeakJudged>& peaks) {
    std::vector<double> sizes;
    for (const PeakJudged& peak : peaks) sizes.push_back(std::abs(peak.error_pct));
    std::ranges::sort(sizes);
    const std::size_t half = sizes.size() / 2;
    return sizes.empty() ? 0.0 : sizes.size() % 2 == 1 ? sizes[half] : 0.5 * (sizes[half - 1] + sizes[half]);
}

void PowerScore::add(const PowerCaseJudged& one) {
    all.add(one);
    by_kind[one.kind].add(one);
    by_rate[fmt::format("{:>2.0f} Hz", one.rate_hz)].add(one);
    by_channels[one.channels].add(one);
    if (!one.failed.empty()) failures.push_back(one.name + ": " + one.failed);
}

PowerCase nth_power_case(int nth, std::uint64_t seed) {
    using enum PowerCaseKind;
    constexpr std::array kTurn{known_car, one_pull, both_ways, four_pulls, two_revisions, two_revisions};
    return power_case(kTurn[static_cast<std::size_t>(nth) % kTurn.size()], seed + static_cast<std::uint64_t>(nth));
}

}  // namespace revwright
