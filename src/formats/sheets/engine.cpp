#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "formats/sheets/job_sections.h"
#include "formats/sheets/plausible.h"

namespace revwright::sheets {
namespace {

constexpr std::array<Word<Aspiration>, 2> kAspirations{{
    {"naturally-aspirated", Aspiration::naturally_aspirated},
    {"turbocharged", Aspiration::turbocharged},
}};
constexpr std::array<Word<Injection>, 2> kInjections{{
    {"direct", Injection::direct},
    {"port", Injection::port},
}};

/// Swept volume of the engine, cm3: pi/4 bore^2 x stroke x cylinders.
double swept_cm3(double bore_mm, double stroke_mm, int cylinders) {
    return std::numbers::pi / 4.0 * bore_mm * bore_mm * stroke_mm * cylinders * 1e-3;
}

void check_geometry(Fields& fields, const Engine& engine) {
    if (engine.rod_mm && engine.stroke_mm && *engine.rod_mm <= *engine.stroke_mm)
        fields.report("rod_mm", fmt::format("must be longer than the stroke of {} mm, found {}", *engine.stroke_mm,
                                            *engine.rod_mm));
    if (!engine.bore_mm || !engine.stroke_mm) return;
    const double swept = swept_cm3(*engine.bore_mm, *engine.stroke_mm, engine.cylinders);
    if (std::abs(swept / engine.displacement_cm3 - 1.0) > 0.02)
        fields.report("displacement_cm3",
                      fmt::format("must agree within 2 % with bore x stroke x cylinders, which give {:.0f}, found {}",
                                  swept, engine.displacement_cm3));
}

/// Stated, or from bore and stroke where both are there.
void read_displacement(Fields& fields, Engine& engine, Defaults& defaults) {
    if (fields.has("displacement_cm3") || !engine.bore_mm || !engine.stroke_mm) {
        engine.displacement_cm3 = fields.need_number("displacement_cm3");
        return;
    }
    fields.take("displacement_cm3");
    engine.displacement_cm3 = swept_cm3(*engine.bore_mm, *engine.stroke_mm, engine.cylinders);
    defaults.push_back(fmt::format("displacement taken as {:.0f} cm3, from bore and stroke", engine.displacement_cm3));
}

}  // namespace

Engine read_engine(const Node& node, Trouble& trouble, Defaults& defaults) {
    Fields fields(node, "engine", trouble);
    Engine engine;
    const Range& cylinders = plausible("engine.cylinders");
    engine.cylinders = static_cast<int>(fields.need_whole("cylinders", static_cast<std::int64_t>(cylinders.low),
                                                          static_cast<std::int64_t>(cylinders.high)));
    engine.bore_mm = fields.number("bore_mm");
    engine.stroke_mm = fields.number("stroke_mm");
    engine.rod_mm = fields.number("rod_mm");
    read_displacement(fields, engine, defaults);
    engine.compression_ratio = fields.need_number("compression_ratio");
    engine.aspiration = fields.need_choice("aspiration", kAspirations);
    engine.injection = fields.need_choice("injection", kInjections);
    engine.max_speed_rpm = fields.need_number("max_speed_rpm");
    engine.torque_max_nm = fields.number("torque_max_nm");
    engine.peak_pressure_mpa = fields.number("peak_pressure_mpa");
    if (!fields.has("inertia_kg_m2"))
        defaults.push_back(
            fmt::format("inertia of the engine taken as {} kg m2 (common practice, no source)", engine.inertia_kg_m2));
    engine.inertia_kg_m2 = fields.number("inertia_kg_m2", engine.inertia_kg_m2);
    fields.finish();
    if (!trouble.found()) check_geometry(fields, engine);
    return engine;
}

Fuel read_fuel(const Node& node, Trouble& trouble, Defaults& defaults) {
    Fields fields(node, "fuel", trouble);
    Fuel fuel;
    fuel.ron = fields.need_number("ron");
    if (!fields.has("ethanol_fraction"))
        defaults.emplace_back("ethanol fraction of the fuel taken as 0: stoichiometry and heating value depend on it");
    fuel.ethanol_fraction = fields.number("ethanol_fraction", 0.0);
    fields.finish();
    return fuel;
}

}  // namespace revwright::sheets
