#include "power/agreement.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <vector>

#include "model/power_words.h"

namespace revwright {
namespace {

constexpr double kSignificance = 0.05;
constexpr std::size_t kLeastCommonSpeeds = 5;
constexpr Eigen::Index kSaid = 2;  // of each method: level and tilt

std::vector<double> common_speeds(std::span<const NamedEstimate> methods) {
    std::vector<double> common = methods.front().estimate.engine_speed_rpm;
    for (const NamedEstimate& method : methods)
        std::erase_if(common,
                      [&](double rpm) { return !std::ranges::binary_search(method.estimate.engine_speed_rpm, rpm); });
    return common;
}

/// Level and tilt of a method's curve over these speeds, as rows over all of its own.
Eigen::MatrixXd sayings(const TorqueEstimate& estimate, const std::vector<double>& speeds) {
    const double middle = 0.5 * (speeds.front() + speeds.back()), half = 0.5 * (speeds.back() - speeds.front());
    const auto count = static_cast<double>(speeds.size());
    double squares = 0.0;
    for (const double rpm : speeds) squares += std::pow((rpm - middle) / half, 2);
    Eigen::MatrixXd rows = Eigen::MatrixXd::Zero(kSaid, static_cast<Eigen::Index>(estimate.engine_speed_rpm.size()));
    for (std::size_t i = 0; i < estimate.engine_speed_rpm.size(); ++i) {
        const double rpm = estimate.engine_speed_rpm[i];
        if (rpm < speeds.front() || rpm > speeds.back()) continue;
        rows(0, static_cast<Eigen::Index>(i)) = 1.0 / count;
        rows(1, static_cast<Eigen::Index>(i)) = (rpm - middle) / half / squares;
    }
    return rows;
}

/// What all methods say, one below the other, with the covariance between them.
struct Said {
    Eigen::VectorXd values;
    Eigen::MatrixXd covariance;
};

Said all_said(std::span<const NamedEstimate> methods, const std::vector<double>& speeds) {
    const auto size = kSaid * static_cast<Eigen::Index>(methods.size());
    Said said{Eigen::VectorXd(size), Eigen::MatrixXd::Zero(size, size)};
    Eigen::VectorXd meter = Eigen::VectorXd::Zero(size);
    for (std::size_t m = 0; m < methods.size(); ++m) {
        const TorqueEstimate& estimate = methods[m].estimate;
        const Eigen::MatrixXd rows = sayings(estimate, speeds);
        const Eigen::Index at = kSaid * static_cast<Eigen::Index>(m);
        said.values.segment(at, kSaid) = rows * estimate.torque_nm;
        said.covariance.block(at, at, kSaid, kSaid) = rows * estimate.covariance * rows.transpose();
        if (estimate.air_meter.size() > 0) meter.segment(at, kSaid) = rows * estimate.air_meter;
    }
    said.covariance += meter * meter.transpose();
    return said;
}

/// The two methods whose levels lie furthest apart for what they claim to know.
std::string furthest_apart(std::span<const NamedEstimate> methods, const Said& said, bool consistent) {
    double worst = -1.0;
    std::string text;
    for (std::size_t a = 0; a < methods.size(); ++a)
        for (std::size_t b = a + 1; b < methods.size(); ++b) {
            const Eigen::Index i = kSaid * static_cast<Eigen::Index>(a), k = kSaid * static_cast<Eigen::Index>(b);
            const double apart = said.values[k] - said.values[i];
            const double sd = std::sqrt(said.covariance(i, i) + said.covariance(k, k) - 2.0 * said.covariance(i, k));
            if (std::abs(apart) / sd < worst) continue;
            worst = std::abs(apart) / sd;
            text = fmt::format("{} says {:.1f} % {} than {} on average; {:.1f} % would be within what they claim",
                               in_words(methods[b].method), 100.0 * std::abs(apart) / said.values[i],
                               apart < 0.0 ? "less" : "more", in_words(methods[a].method),
                               100.0 * 1.96 * sd / said.values[i]);
        }
    text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
    return text + (consistent ? "." : ". The methods contradict each other, and the interval is widened by that.");
}

}  // namespace

double chi_squared_tail(double value, int degrees) {
    double term = 1.0, sum = 0.0;
    for (int k = 0; k < degrees / 2; ++k) {
        sum += term;
        term *= 0.5 * value / (k + 1);
    }
    return std::exp(-0.5 * value) * sum;
}

PowerAgreement agreement_of(std::span<const NamedEstimate> methods) {
    if (methods.size() < 2) return {.text = "One method only: nothing stands beside it to agree with or not."};
    const std::vector<double> speeds = common_speeds(methods);
    if (speeds.size() < kLeastCommonSpeeds)
        return {.text = "The methods cover no engine speeds in common: whether they agree cannot be told."};
    const Said said = all_said(methods, speeds);
    const Eigen::LDLT<Eigen::MatrixXd> solved(said.covariance);
    Eigen::MatrixXd design(said.values.size(), kSaid);
    for (Eigen::Index i = 0; i < design.rows(); i += kSaid)
        design.middleRows(i, kSaid) = Eigen::MatrixXd::Identity(kSaid, kSaid);
    const Eigen::MatrixXd weighted = solved.solve(design);
    const Eigen::VectorXd common = (design.transpose() * weighted).ldlt().solve(weighted.transpose() * said.values);
    const Eigen::VectorXd left = said.values - design * common;
    const double chi_squared = left.dot(solved.solve(left));
    const int degrees = static_cast<int>(said.values.size() - kSaid);
    PowerAgreement found{.consistent = chi_squared_tail(chi_squared, degrees) > kSignificance,
                         .birge_ratio = std::sqrt(chi_squared / degrees)};
    found.text = furthest_apart(methods, said, found.consistent);
    return found;
}

}  // namespace revwright
