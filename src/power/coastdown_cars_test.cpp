#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <set>
#include <string>

#include "power/coast_time.h"
#include "power/coastdown_test_car.h"

// Every car of [EPA-test-cars] coasts down in a generator that shares no code with the fit, which must find the
// coefficients that the car was given. Skipped where the open data is absent.
namespace revwright {
namespace {

constexpr std::size_t kCars = 40;
constexpr double kPoundForce = 4.4482216152605, kPound = 0.45359237, kMileAnHour = 0.44704;

/// One row of the open data, in SI.
struct TestCarRow {
    double mass_kg, a_n, b_n_per_m_per_s, c_n_per_m2_per_s2;
    auto operator<=>(const TestCarRow&) const = default;
};

/// The cells of a line; commas inside quotes do not part.
std::vector<std::string> cells_of(const std::string& line) {
    std::vector<std::string> cells(1);
    bool quoted = false;
    for (const char c : line)
        if (c == '"')
            quoted = !quoted;
        else if (c == ',' && !quoted)
            cells.emplace_back();
        else
            cells.back() += c;
    return cells;
}

/// All rows with mass and three coefficients, each once, in rising order.
std::set<TestCarRow> read_cars(const std::filesystem::path& path) {
    std::ifstream file(path);
    std::string line;
    std::getline(file, line);
    const std::vector<std::string> names = cells_of(line);
    const auto column = [&](const std::string& name) {
        return static_cast<std::size_t>(std::ranges::find(names, name) - names.begin());
    };
    const std::size_t mass = column("Equivalent Test Weight (lbs.)"), a = column("Target Coef A (lbf)"),
                      b = column("Target Coef B (lbf/mph)"), c = column("Target Coef C (lbf/mph**2)");
    std::set<TestCarRow> cars;
    while (std::getline(file, line)) {
        const std::vector<std::string> cells = cells_of(line);
        if (cells.size() <= c || cells[mass].empty() || cells[a].empty() || cells[b].empty() || cells[c].empty())
            continue;
        cars.insert({std::stod(cells[mass]) * kPound, std::stod(cells[a]) * kPoundForce,
                     std::stod(cells[b]) * kPoundForce / kMileAnHour,
                     std::stod(cells[c]) * kPoundForce / kMileAnHour / kMileAnHour});
    }
    return cars;
}

/// Those that nothing keeps from coasting, every so many of them, with and without a negative b.
std::vector<TestCarRow> some_of(const std::set<TestCarRow>& cars, bool negative, std::size_t count) {
    std::vector<TestCarRow> coasting;
    for (const TestCarRow& car : cars) {
        const RoadLoad load{{car.a_n}, {car.b_n_per_m_per_s}, {car.c_n_per_m2_per_s2}};
        const auto seconds = coast_time({car.mass_kg}, load, {32.0}, {5.0});
        if (seconds && seconds->si < 600.0 && (car.b_n_per_m_per_s < 0.0) == negative) coasting.push_back(car);
    }
    std::vector<TestCarRow> some;
    for (std::size_t i = 0; i < count && !coasting.empty(); ++i) some.push_back(coasting[i * coasting.size() / count]);
    return some;
}

TEST(CoastdownCars, OpenTestCarsGetTheirCoefficientsBack) {
    const std::filesystem::path path = "../shared/data/test-cars/22-tstcar.csv";  // tests run in the project's root
    if (!std::filesystem::exists(path)) GTEST_SKIP() << "no ../shared/data/test-cars beside the project";
    const std::set<TestCarRow> cars = read_cars(path);
    EXPECT_TRUE(cars.contains({3625.0 * kPound, 26.509 * kPoundForce, 0.19851 * kPoundForce / kMileAnHour,
                               0.016476 * kPoundForce / kMileAnHour / kMileAnHour}))
        << "the row that the coasting times are checked with";
    std::vector<TestCarRow> chosen = some_of(cars, false, 20);
    for (const TestCarRow& row : some_of(cars, true, 20)) chosen.push_back(row);
    ASSERT_EQ(chosen.size(), kCars);

    double inside = 0.0, distances = 0.0, worst = 0.0;
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        const TestCarRow& row = chosen[i];
        CoastTestNoise noise(5000 + i);
        const CoastTestCar car{.mass_kg = row.mass_kg,
                               .turning_mass_kg = 0.03 * row.mass_kg,
                               .a_n = row.a_n,
                               .b_n_per_m_per_s = row.b_n_per_m_per_s,
                               .c_n_per_m2_per_s2 = row.c_n_per_m2_per_s2,
                               .slope = 0.002 * noise.normal(),
                               .headwind_m_per_s = 1.5 * noise.normal()};
        CoastdownTest test = told_of(car);
        test.slope = {0.0, 0.002}, test.headwind_m_per_s = {0.0, 1.5};
        for (const double along : {1.0, -1.0, 1.0, -1.0})
            test.runs.push_back(coast_down(car, along, {.rate_hz = 2.0}, noise));
        const auto fit = fit_coastdown(test);
        ASSERT_TRUE(fit) << fit.error().what;
        const Eigen::Vector3d error = fit->load - true_load(car);
        for (Eigen::Index k = 0; k < 3; ++k)
            inside += std::abs(error[k]) < 1.96 * std::sqrt(fit->covariance(k, k)) ? 1.0 : 0.0;
        distances += error.dot(fit->covariance.ldlt().solve(error)) / kCars;
        for (const double v : {10.0, 20.0, 30.0}) {
            const Eigen::Vector3d at(1.0, v, v * v);
            worst = std::max(worst, std::abs(at.dot(error)) / at.dot(true_load(car)));
        }
    }
    std::printf("%zu cars: %.0f of %zu coefficients inside 95 %%, distance %.2f of 3, worst force %.2f %%\n", kCars,
                inside, 3 * kCars, distances, 100.0 * worst);
    EXPECT_GE(inside, 0.88 * 3 * kCars);  // 95 % are due; those of one car go together
    EXPECT_NEAR(distances, 3.0, 1.2);
    EXPECT_LT(worst, 0.03);
}

}  // namespace
}  // namespace revwright
