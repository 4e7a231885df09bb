#include <benchmark/benchmark.h>

#include "power/peak.h"
#include "power/road_fit.h"
#include "power/road_test_drive.h"

namespace {

using namespace revwright;

/// Four pulls of one image, two each way, at 10 Hz, with what a workshop knows of a car.
RoadDrive four_pulls() {
    RoadTestNoise noise(1);
    const RoadTestCar car{.slope = 0.003, .headwind_m_per_s = 1.0};
    RoadDrive drive = told_of(car, false);
    for (const double along : {1.0, -1.0, 1.0, -1.0}) add_pull(drive, drive_pull(car, along, {}, noise), along);
    return drive;
}

void BM_FitFourPulls(benchmark::State& state) {
    const RoadDrive drive = four_pulls();
    for (auto _ : state) {
        const auto fit = fit_road(drive);
        if (!fit) return state.SkipWithError(fit.error().what.c_str());
        benchmark::DoNotOptimize(fit);
    }
}
BENCHMARK(BM_FitFourPulls)->Unit(benchmark::kMillisecond);

void BM_Peaks(benchmark::State& state) {
    const auto fit = fit_road(four_pulls());
    std::vector<double> speeds;
    for (double rpm = 2150.0; rpm <= 6450.0; rpm += 50.0) speeds.push_back(rpm);
    Eigen::MatrixXd rows(static_cast<Eigen::Index>(speeds.size()), fit->layout.size);
    for (std::size_t i = 0; i < speeds.size(); ++i)
        rows.row(static_cast<Eigen::Index>(i)) = fit->torque_row(0, speeds[i] * std::numbers::pi / 30.0).transpose();
    const Eigen::VectorXd torque = rows * fit->parameters;
    const Eigen::MatrixXd covariance = rows * fit->covariance * rows.transpose();
    for (auto _ : state) benchmark::DoNotOptimize(peaks_of(speeds, torque, covariance));
}
BENCHMARK(BM_Peaks)->Unit(benchmark::kMillisecond);

}  // namespace
