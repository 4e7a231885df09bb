#include <fmt/format.h>

#include "formats/sheets/job_sections.h"

namespace revwright::sheets {
namespace {

constexpr std::array<Word<HardwareKind>, 7> kKinds{{
    {"intake", HardwareKind::intake},
    {"exhaust", HardwareKind::exhaust},
    {"charge-cooler", HardwareKind::charge_cooler},
    {"turbocharger", HardwareKind::turbocharger},
    {"injectors", HardwareKind::injectors},
    {"fuel-pump", HardwareKind::fuel_pump},
    {"air-meter", HardwareKind::air_meter},
}};
constexpr std::array<Word<Catalyst>, 3> kCatalysts{{
    {"kept", Catalyst::kept},
    {"sport", Catalyst::sport},
    {"removed", Catalyst::removed},
}};

/// At which conditions a pair of figures holds: a pressure drop means nothing without its flow, nor, in hot gas,
/// without its temperature.
enum class HoldsAt { anywhere, flow, flow_and_temperature };

std::optional<BeforeAfter> read_pair(Fields& hardware, std::string_view key, HoldsAt holds, Trouble& trouble) {
    const Node* node = hardware.table(key);
    if (!node) return std::nullopt;
    const std::string path = fmt::format("hardware.{}", key);
    Fields fields(*node, path, trouble);
    BeforeAfter pair;
    fields.need("before");
    pair.before = fields.number_within("before", path).value_or(0.0);
    fields.need("after");
    pair.after = fields.number_within("after", path).value_or(0.0);
    if (holds != HoldsAt::anywhere) {
        fields.need("at_kg_s");
        pair.at_kg_s = fields.number_within("at_kg_s", "hardware.at_kg_s");
    }
    if (holds == HoldsAt::flow_and_temperature) {
        fields.need("at_temp_c");
        pair.at_temp_c = fields.number_within("at_temp_c", "hardware.at_temp_c");
    }
    fields.finish();
    return pair;
}

void read_turbocharger(Fields& fields, Hardware& change) {
    change.map = fields.need_text("map");
    change.reference_temp_k = fields.need_number("reference_temp_k");
    change.reference_pressure_kpa = fields.need_number("reference_pressure_kpa");
    change.max_speed_rpm = fields.need_number("max_speed_rpm");
}

void read_exhaust(Fields& fields, Hardware& change, Trouble& trouble) {
    fields.need("pressure_drop_kpa");
    change.pressure_drop_kpa = read_pair(fields, "pressure_drop_kpa", HoldsAt::flow_and_temperature, trouble);
    change.catalyst = fields.need_choice("catalyst", kCatalysts);
}

void read_data(Fields& fields, Hardware& change, Trouble& trouble) {
    switch (change.kind) {
        case HardwareKind::intake:
            fields.need("pressure_drop_kpa");
            change.pressure_drop_kpa = read_pair(fields, "pressure_drop_kpa", HoldsAt::flow, trouble);
            return;
        case HardwareKind::exhaust:
            return read_exhaust(fields, change, trouble);
        case HardwareKind::charge_cooler:
            fields.need("effectiveness");
            change.effectiveness = read_pair(fields, "effectiveness", HoldsAt::anywhere, trouble);
            change.pressure_drop_kpa = read_pair(fields, "pressure_drop_kpa", HoldsAt::flow, trouble);
            return;
        case HardwareKind::turbocharger:
            return read_turbocharger(fields, change);
        case HardwareKind::injectors:
        case HardwareKind::fuel_pump:
            change.flow_g_s = fields.need_number("flow_g_s");
            change.at_pressure_mpa = fields.need_number("at_pressure_mpa");
            return;
        case HardwareKind::air_meter:
            fields.need("bore_mm");
            change.bore_mm = read_pair(fields, "bore_mm", HoldsAt::anywhere, trouble);
            fields.need("rescaled");
            change.rescaled = fields.flag("rescaled");
            return;
    }
}

}  // namespace

Hardware read_hardware(const Node& node, Trouble& trouble) {
    Fields fields(node, "hardware", trouble);
    Hardware change;
    fields.need("kind");
    const auto kind = fields.choice("kind", kKinds);
    if (!kind) {
        // Without its kind the other keys cannot be judged.
        trouble.report(node.at, "hardware needs kind, found none");
        return change;
    }
    change.kind = *kind;
    read_data(fields, change, trouble);
    fields.finish();
    return change;
}

}  // namespace revwright::sheets
