#include "recovery/full_load_curves.h"

#include <algorithm>
#include <fmt/format.h>
#include <fstream>
#include <iterator>
#include <map>
#include <numbers>
#include <sstream>
#include <string>

namespace revwright {
namespace {

constexpr double kRpm = std::numbers::pi / 30.0;
constexpr double kLowestRpm = 1200.0;  // nobody floors it below
constexpr std::size_t kColumnsOfVehicle = 14;

/// A row of the data: numbers between commas. Where a column holds a word there is a 0.
std::vector<double> numbers_of(const std::string& line) {
    std::vector<double> numbers;
    std::istringstream row(line);
    for (std::string text; std::getline(row, text, ',');) {
        std::istringstream cell(text);
        double number = 0.0;
        numbers.push_back(cell >> number ? number : 0.0);
    }
    return numbers;
}

std::vector<std::vector<double>> rows_of(const std::filesystem::path& path, std::size_t columns) {
    std::vector<std::vector<double>> rows;
    std::ifstream file(path);
    std::string line;
    std::getline(file, line);  // the header
    while (std::getline(file, line))
        if (auto row = numbers_of(line); row.size() >= columns) rows.push_back(std::move(row));
    return rows;
}

/// The force that is left at rated power, over the mass.
double gain_at_rated(const FullLoadVehicle& vehicle, double rpm_per_km_h, double efficiency) {
    const double v = vehicle.rated_rpm / rpm_per_km_h / 3.6;
    return (1000.0 * vehicle.rated_kw * efficiency / v - vehicle.f0_n - vehicle.f1_n_per_m_per_s * v -
            vehicle.f2_n_per_m2_per_s2 * v * v) /
           vehicle.mass_kg;
}

double gear_for(const FullLoadVehicle& vehicle, double efficiency) {
    constexpr double kLeastGain = 0.5;
    for (std::size_t gear = std::min<std::size_t>(3, vehicle.rpm_per_km_h.size()); gear > 1; --gear)
        if (gain_at_rated(vehicle, vehicle.rpm_per_km_h[gear - 1], efficiency) >= kLeastGain)
            return vehicle.rpm_per_km_h[gear - 1];
    return vehicle.rpm_per_km_h.front();
}

}  // namespace

double FullLoadVehicle::power_kw(double engine_speed_rpm) const {
    const auto after = std::ranges::upper_bound(rpm, engine_speed_rpm);
    if (after == rpm.begin()) return kw.front() * engine_speed_rpm / rpm.front();
    if (after == rpm.end()) return kw.back();
    const auto i = static_cast<std::size_t>(after - rpm.begin());
    const double part = (engine_speed_rpm - rpm[i - 1]) / (rpm[i] - rpm[i - 1]);
    return kw[i - 1] + part * (kw[i] - kw[i - 1]);
}

std::optional<std::vector<FullLoadVehicle>> read_full_load_vehicles(const std::filesystem::path& folder) {
    if (!std::filesystem::exists(folder / "vehicle.txt")) return std::nullopt;
    std::map<int, FullLoadVehicle> by_number;
    for (const auto& row : rows_of(folder / "vehicle.txt", kColumnsOfVehicle)) {
        const int number = static_cast<int>(row[0]);
        by_number[number] = {.number = number,
                             .rated_kw = row[3],
                             .rated_rpm = row[4],
                             .mass_kg = row[8],
                             .f0_n = row[11],
                             .f1_n_per_m_per_s = 3.6 * row[12],  // from N per km/h
                             .f2_n_per_m2_per_s2 = 3.6 * 3.6 * row[13]};
    }
    for (const auto& row : rows_of(folder / "gearbox.txt", 3))
        by_number[static_cast<int>(row[0])].rpm_per_km_h.push_back(row[2]);
    for (const auto& row : rows_of(folder / "engine.txt", 3)) {
        by_number[static_cast<int>(row[0])].rpm.push_back(row[1]);
        by_number[static_cast<int>(row[0])].kw.push_back(row[2]);
    }
    std::vector<FullLoadVehicle> vehicles;
    for (auto& [number, vehicle] : by_number)
        if (vehicle.rated_kw > 0.0 && !vehicle.rpm.empty() && !vehicle.rpm_per_km_h.empty())
            vehicles.push_back(std::move(vehicle));
    return vehicles;
}

PowerCase full_load_case(const FullLoadVehicle& vehicle, std::uint64_t seed) {
    const TrueCar car{.mass_kg = vehicle.mass_kg,
                      .a_n = vehicle.f0_n,
                      .b_n_per_m_per_s = vehicle.f1_n_per_m_per_s,
                      .c_n_per_m2_per_s2 = vehicle.f2_n_per_m2_per_s2};
    PowerCase made{.name = fmt::format("vehicle {}", vehicle.number), .kind = "full-load curve"};
    made.channels = "road speed";
    made.told.car = {.mass_kg = {car.mass_kg, 0.0},
                     .rolling_radius_m = {car.radius_m, 0.0},
                     .efficiency = {car.efficiency, 0.0},
                     .a_n = {car.a_n, 0.0},
                     .b_n_per_m_per_s = {car.b_n_per_m_per_s, 0.0},
                     .c_n_per_m2_per_s2 = {car.c_n_per_m2_per_s2, 0.0},
                     .wheel_inertia_kg_m2 = car.wheel_inertia_kg_m2,
                     .engine_inertia_kg_m2 = car.engine_inertia_kg_m2};
    made.told.runs.push_back({});
    made.curves.push_back({.torque_nm = [vehicle](double rpm) { return 1000.0 * vehicle.power_kw(rpm) / (rpm * kRpm); },
                           .rated_kw = vehicle.rated_kw});
    const double overall = gear_for(vehicle, car.efficiency) * 3.6 * kRpm * car.radius_m;
    PowerRandom random(seed + static_cast<std::uint64_t>(vehicle.number));
    log_pull(made, car,
             {.overall_ratio = overall,
              .from_rpm = std::max(kLowestRpm, vehicle.rpm.front()),
              .to_rpm = vehicle.rpm.back(),
              .torque_nm = made.curves.front().torque_nm},
             {}, {.road_m_per_s = {.rate_hz = 10.0, .noise = 0.05, .step = 0.01}}, random);
    return made;
}

}  // namespace revwright
