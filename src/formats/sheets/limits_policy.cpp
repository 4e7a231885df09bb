#include <fmt/format.h>

#include "formats/sheets/job_sections.h"

namespace revwright::sheets {
namespace {

LimitOverride read_override(const Node& node, std::string_view name, Trouble& trouble) {
    const std::string path = fmt::format("limits.{}", name);
    Fields fields(node, path, trouble);
    LimitOverride change;
    fields.need("value");
    change.value = fields.number_within("value", path).value_or(0.0);
    change.reason = fields.need_text("reason");
    fields.finish();
    return change;
}

/// A step above its own total could never be taken.
void check_steps(Fields& fields, double step, std::string_view step_key, double total, std::string_view total_key) {
    if (step <= total) return;
    const std::string_view key = fields.has(step_key) ? step_key : total_key;
    fields.report(key, fmt::format("contradicts: a {} of {} is above the {} of {}", step_key, step, total_key, total));
}

}  // namespace

Limits read_limits(const Node* node, bool turbocharged, Trouble& trouble) {
    Limits limits(turbocharged);
    if (!node) return limits;
    Fields fields(*node, "limits", trouble);
    for (const Limit& limit : default_limits()) {
        const Node* change = fields.take(limit.name);
        if (!change) continue;
        if (change->kind == Node::Kind::table)
            limits.override_with(limit.name, read_override(*change, limit.name, trouble));
        else
            fields.report(limit.name,
                          fmt::format("must be {{ value = .., reason = \"..\" }}, found {}", kind_words(*change)));
    }
    fields.finish();
    return limits;
}

Policy read_policy(const Node& node, Trouble& trouble) {
    Fields fields(node, "policy", trouble);
    Policy policy;
    const std::pair<std::string_view, double*> keys[] = {
        {"first_spark_step_deg", &policy.first_spark_step_deg},
        {"spark_step_deg", &policy.spark_step_deg},
        {"spark_total_deg", &policy.spark_total_deg},
        {"knock_margin_deg", &policy.knock_margin_deg},
        {"boost_step_kpa", &policy.boost_step_kpa},
        {"boost_total_kpa", &policy.boost_total_kpa},
        {"lambda_step", &policy.lambda_step},
        {"pulls_needed", &policy.pulls_needed},
        {"events_needed", &policy.events_needed},
        {"knock_rate_max", &policy.knock_rate_max},
        {"sigma", &policy.sigma},
        {"low_speed_rpm", &policy.low_speed_rpm},
    };
    for (const auto& [key, value] : keys) *value = fields.number(key, *value);
    fields.finish();
    check_steps(fields, policy.spark_step_deg, "spark_step_deg", policy.spark_total_deg, "spark_total_deg");
    check_steps(fields, policy.first_spark_step_deg, "first_spark_step_deg", policy.spark_total_deg, "spark_total_deg");
    check_steps(fields, policy.boost_step_kpa, "boost_step_kpa", policy.boost_total_kpa, "boost_total_kpa");
    return policy;
}

}  // namespace revwright::sheets
