#include <fmt/format.h>
#include <map>

#include "formats/sheets/job_sections.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

constexpr std::array<Word<RunPlace>, 3> kPlaces{{
    {"road", RunPlace::road},
    {"inertia-dyno", RunPlace::inertia_dyno},
    {"brake-dyno", RunPlace::brake_dyno},
}};

void read_image_of_run(Fields& fields, const Node& node, Trouble& trouble, RunEntry& run) {
    run.image = fields.text("image").value_or("");
    if (const auto hex = fields.text("image_sha256")) {
        run.image_sha256 = digest_from_hex(*hex);
        if (!run.image_sha256)
            fields.report("image_sha256", fmt::format("must be 64 hexadecimal digits, found {}", quoted(*hex)));
    }
    if (fields.has("image") && fields.has("image_sha256"))
        fields.report("image_sha256", "and run.image exclude each other, found both");
    if (!fields.has("image") && !fields.has("image_sha256"))
        trouble.report(node.at, "run needs the image it was driven with, as image or image_sha256, found neither");
}

void read_place(Fields& fields, RunEntry& run) {
    run.place = fields.need_choice("place", kPlaces);
    const bool roller = run.place == RunPlace::inertia_dyno;
    run.roller_inertia_kg_m2 =
        roller ? std::optional(fields.need_number("roller_inertia_kg_m2")) : fields.number("roller_inertia_kg_m2");
    if (!roller && run.roller_inertia_kg_m2)
        fields.report("roller_inertia_kg_m2", "belongs to a run with place = \"inertia-dyno\" only");
}

RunEntry read_run(const Node& node, Trouble& trouble) {
    Fields fields(node, "run", trouble);
    RunEntry run;
    run.where = trouble.place(node.at);
    run.log = fields.need_text("log");
    read_place(fields, run);
    run.direction = fields.text("direction").value_or("");
    run.slope_pct = fields.number("slope_pct");
    run.occupants_kg = fields.number("occupants_kg");
    run.ambient_temp_c = fields.number("ambient_temp_c");
    run.ambient_pressure_kpa = fields.number("ambient_pressure_kpa");
    run.humidity_pct = fields.number("humidity_pct");
    run.ron = fields.number("ron");
    run.fuel_batch = fields.text("fuel_batch").value_or("");
    fields.take("image");
    fields.take("image_sha256");
    fields.finish();
    read_image_of_run(fields, node, trouble, run);
    return run;
}

}  // namespace

std::vector<RunEntry> read_runs(std::span<const Node> nodes, Trouble& trouble) {
    std::vector<RunEntry> runs;
    std::map<std::string, At> seen;
    for (const Node& node : nodes) {
        runs.push_back(read_run(node, trouble));
        if (trouble.found()) return runs;
        const At at = node.find("log")->at;
        const auto [earlier, fresh] = seen.emplace(runs.back().log, at);
        if (!fresh)
            trouble.report(at, fmt::format("a log belongs to one run, found {} again after line {}",
                                           quoted(runs.back().log), earlier->second.line));
    }
    return runs;
}

}  // namespace revwright::sheets
