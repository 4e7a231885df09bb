#include "formats/sheets/job.h"

#include <fmt/format.h>

#include "formats/sheets/job_sections.h"
#include "formats/sheets/schema.h"

namespace revwright::sheets {
namespace {

void read_title(const Node& node, Trouble& trouble, JobSheet& job) {
    Fields fields(node, "job", trouble);
    job.id = fields.text("id").value_or("");
    job.title = fields.text("title").value_or("");
    fields.finish();
}

Goal read_goal(const Node& node, Trouble& trouble) {
    Fields fields(node, "goal", trouble);
    const Goal goal{.torque_nm = fields.number("torque_nm"), .power_kw = fields.number("power_kw")};
    fields.finish();
    return goal;
}

Site read_site(const Node& node, Trouble& trouble) {
    Fields fields(node, "site", trouble);
    const Site site{.altitude_m = fields.number("altitude_m", 0.0), .slope_pct = fields.number("slope_pct", 0.0)};
    fields.finish();
    return site;
}

WorstDay read_worst_day(const Node& node, Trouble& trouble) {
    Fields fields(node, "worst_day", trouble);
    WorstDay day;
    day.ambient_temp_c = fields.number("ambient_temp_c");
    day.ron = fields.number("ron");
    day.altitude_m = fields.number("altitude_m");
    day.retard_allowed_deg = fields.number("retard_allowed_deg", day.retard_allowed_deg);
    fields.finish();
    return day;
}

/// The worst day is never better than the agreed fuel: a promise kept at a higher octane would be none.
void check_worst_day(const Node* node, const JobSheet& job, Trouble& trouble) {
    if (!job.worst_day || !job.worst_day->ron || *job.worst_day->ron <= job.fuel.ron) return;
    trouble.report(node->find("ron")->at, fmt::format("worst_day.ron must be at most the {} of fuel.ron, found {}",
                                                      job.fuel.ron, *job.worst_day->ron));
}

/// What every job needs: car, engine, fuel.
void read_vehicle(Fields& sheet, Trouble& trouble, JobSheet& job) {
    for (const char* section : {"car", "engine", "fuel"}) sheet.need(section);
    if (const Node* car = sheet.table("car")) job.car = read_car(*car, trouble, job.defaults_used);
    if (const Node* engine = sheet.table("engine")) job.engine = read_engine(*engine, trouble, job.defaults_used);
    if (const Node* fuel = sheet.table("fuel")) job.fuel = read_fuel(*fuel, trouble, job.defaults_used);
}

void read_agreed(Fields& sheet, Trouble& trouble, JobSheet& job) {
    if (const Node* title = sheet.table("job")) read_title(*title, trouble, job);
    if (const Node* goal = sheet.table("goal")) job.goal = read_goal(*goal, trouble);
    if (const Node* site = sheet.table("site"))
        job.site = read_site(*site, trouble);
    else
        job.defaults_used.emplace_back("site taken as at sea level and without slope, where a run does not say");
    const Node* day = sheet.table("worst_day");
    if (day) job.worst_day = read_worst_day(*day, trouble);
    check_worst_day(day, job, trouble);
}

void read_work(Fields& sheet, Trouble& trouble, JobSheet& job) {
    for (const Node& change : sheet.tables("hardware")) job.hardware.push_back(read_hardware(change, trouble));
    job.runs = read_runs(sheet.tables("run"), trouble);
    job.limits = read_limits(sheet.table("limits"), job.engine.turbocharged(), trouble);
    if (const Node* policy = sheet.table("policy")) job.policy = read_policy(*policy, trouble);
    if (const Node* image = sheet.table("image")) job.image = read_image(*image, "image", trouble, job.defaults_used);
    if (const Node* gearbox = sheet.table("gearbox_image"))
        job.gearbox_image = read_image(*gearbox, "gearbox_image", trouble, job.defaults_used);
}

}  // namespace

Result<JobSheet> read_job(std::string_view text, const std::string& file) {
    const Result<Node> root = read_document(text, file);
    if (!root) return tl::unexpected(root.error());
    Trouble trouble(file);
    Fields sheet(*root, "", trouble);
    read_schema(sheet, "revwright.job/1");
    JobSheet job;
    job.file = file;
    read_vehicle(sheet, trouble, job);
    read_agreed(sheet, trouble, job);
    read_work(sheet, trouble, job);
    sheet.finish();
    if (trouble.found()) return tl::unexpected(trouble.error());
    return job;
}

}  // namespace revwright::sheets
