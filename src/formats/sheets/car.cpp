#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <functional>

#include "formats/sheets/job_sections.h"
#include "formats/sheets/plausible.h"
#include "formats/sheets/tyre.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

// Defaults of a car whose resistance was not measured: common practice, no source. The deviations are wide on purpose,
// so that a power figure on assumed values shows it.
constexpr double kDragArea = 0.65, kDragAreaSd = 0.06, kStatedDragAreaSd = 0.03;
constexpr double kRollingCoefficient = 0.012;
constexpr double kMassSd = 30.0;
constexpr std::string_view kNoSource = "(common practice, no source)";

constexpr std::array<Word<DrivenAxle>, 3> kAxles{{
    {"front", DrivenAxle::front},
    {"rear", DrivenAxle::rear},
    {"all", DrivenAxle::all},
}};

Coastdown read_coastdown(const Node& node, Trouble& trouble) {
    Fields fields(node, "car.coastdown", trouble);
    Coastdown coastdown;
    coastdown.a_n = fields.need_number("a_n");
    coastdown.b_n_per_m_s = fields.need_number("b_n_per_m_s");
    coastdown.c_n_per_m2_s2 = fields.need_number("c_n_per_m2_s2");
    fields.finish();
    return coastdown;
}

/// Road load is measured (coastdown) or made up of drag and rolling; both at once would contradict each other.
void read_road_load(Fields& fields, Trouble& trouble, Car& car, Defaults& defaults) {
    car.drag_area_m2 = fields.number("drag_area_m2");
    car.drag_area_sd_m2 = fields.number("drag_area_sd_m2");
    car.rolling_coefficient = fields.number("rolling_coefficient");
    if (const Node* node = fields.table("coastdown")) {
        car.coastdown = read_coastdown(*node, trouble);
        for (const char* key : {"drag_area_m2", "drag_area_sd_m2", "rolling_coefficient"})
            if (fields.has(key)) fields.report(key, "and car.coastdown exclude each other, found both");
        return;
    }
    if (car.drag_area_sd_m2 && !car.drag_area_m2)
        fields.report("drag_area_sd_m2", "needs car.drag_area_m2 beside it, found none");
    const bool drag_stated = car.drag_area_m2.has_value();
    if (!drag_stated) {
        car.drag_area_m2 = kDragArea;
        defaults.push_back(fmt::format("drag area taken as {} m2 {}", kDragArea, kNoSource));
    }
    if (!car.drag_area_sd_m2) {
        car.drag_area_sd_m2 = drag_stated ? kStatedDragAreaSd : kDragAreaSd;
        defaults.push_back(
            fmt::format("deviation of the drag area taken as {} m2 {}", *car.drag_area_sd_m2, kNoSource));
    }
    if (!car.rolling_coefficient) {
        car.rolling_coefficient = kRollingCoefficient;
        defaults.push_back(fmt::format("rolling coefficient taken as {} {}", kRollingCoefficient, kNoSource));
    }
}

void read_gears(Fields& fields, Car& car) {
    fields.need("gear_ratios");
    car.gear_ratios = fields.numbers("gear_ratios");
    const auto bad = std::ranges::adjacent_find(car.gear_ratios, std::not_fn(std::greater{}));
    if (bad != car.gear_ratios.end())
        fields.report("gear_ratios", fmt::format("must fall from gear to gear, found {} then {}", bad[0], bad[1]));
    if (car.gear_ratios.size() > 12)
        fields.report("gear_ratios", fmt::format("must hold 12 gears at most, found {}", car.gear_ratios.size()));
    car.final_drive = fields.need_number("final_drive");
}

void read_torque_capacity(Fields& fields, Car& car) {
    const Node* node = fields.take("gearbox_torque_nm");
    if (node && node->kind == Node::Kind::list)
        car.gearbox_torque_nm = fields.numbers("gearbox_torque_nm");
    else if (const auto one = fields.number("gearbox_torque_nm"))
        car.gearbox_torque_nm = {*one};
    const std::size_t count = car.gearbox_torque_nm.size();
    if (count > 1 && count != car.gear_ratios.size())
        fields.report("gearbox_torque_nm",
                      fmt::format("must hold one number, or one for each of the {} gears, found {}",
                                  car.gear_ratios.size(), count));
    car.clutch_torque_nm = fields.number("clutch_torque_nm");
}

void read_tyres(Fields& fields, Car& car, Defaults& defaults) {
    const std::string text = fields.need_text("tyre");
    const auto stated = fields.number("rolling_circumference_m");
    if (text.empty()) return;
    const Result<Tyre> tyre = read_tyre(text);
    if (!tyre) {
        const bool has_name = tyre.error().what.starts_with("tyre.");
        fields.report("tyre", has_name ? fmt::format("{}: {}", quoted(text), tyre.error().what) : tyre.error().what);
        return;
    }
    car.tyre = *tyre;
    const double expected = rolling_circumference_m(*tyre);
    car.rolling_circumference_m = stated.value_or(expected);
    if (!stated)
        defaults.push_back(
            fmt::format("rolling circumference taken as {:.4f} m, 3.05 x the diameter of {}", expected, text));
    else if (std::abs(*stated / expected - 1.0) > 0.10)
        fields.report(
            "rolling_circumference_m",
            fmt::format("must be within 10 % of the {:.3f} m that {} rolls, found {}", expected, text, *stated));
}

/// Takes the key, or keeps the model's own default and says so.
void number_or_default(Fields& fields, std::string_view key, double& value, std::string_view words,
                       std::string_view unit, Defaults& defaults) {
    const bool stated = fields.has(key);
    value = fields.number(key, value);
    if (!stated) defaults.push_back(fmt::format("{} taken as {}{} {}", words, value, unit, kNoSource));
}

}  // namespace

Car read_car(const Node& node, Trouble& trouble, Defaults& defaults) {
    Fields fields(node, "car", trouble);
    Car car;
    car.mass_kg = fields.need_number("mass_kg");
    double mass_sd = kMassSd;
    number_or_default(fields, "mass_sd_kg", mass_sd, "deviation of the mass", " kg", defaults);
    car.mass_sd_kg = mass_sd;
    read_road_load(fields, trouble, car, defaults);
    read_gears(fields, car);
    read_tyres(fields, car, defaults);
    number_or_default(fields, "wheel_inertia_kg_m2", car.wheel_inertia_kg_m2, "inertia of each wheel", " kg m2",
                      defaults);
    number_or_default(fields, "driveline_loss_fraction", car.driveline_loss_fraction, "driveline loss", "", defaults);
    if (const auto axle = fields.choice("driven_axle", kAxles))
        car.driven_axle = *axle;
    else
        defaults.emplace_back("driven axle taken as the front one");
    read_torque_capacity(fields, car);
    fields.finish();
    return car;
}

}  // namespace revwright::sheets
