#include "app/demo.h"

#include <algorithm>
#include <fmt/format.h>

#include "app/build_image.h"
#include "app/demo_summary.h"
#include "app/files.h"
#include "app/first_calibration.h"
#include "app/power_logs.h"
#include "app/propose_changes.h"
#include "app/pull_pictures.h"
#include "app/truth_json.h"
#include "draw/power_drawing.h"
#include "evidence/evidence.h"
#include "formats/csv/writer.h"
#include "image/read.h"
#include "review/review.h"
#include "rig/drive.h"
#include "rig/example_car.h"
#include "wire/power_json.h"
#include "wire/proposal_json.h"
#include "wire/review_json.h"

namespace revwright::app {
namespace {

constexpr std::uint64_t kCarSeed = 117;
constexpr int kPulls = 4;
constexpr int kMostRevisions = 10;
constexpr std::size_t kRaisesNotWorthARun = 2;  // cells of spark; our choice
constexpr std::string_view kCalibrator = "Ilse Marrant";
constexpr std::string_view kJob = "job.toml";

/// The demo's folder, and the job sheet as it grows by one [[run]] after another.
class Workshop {
public:
    explicit Workshop(Path folder) : folder_(std::move(folder)) {}

    Result<void> open() {
        std::error_code error;
        std::filesystem::create_directories(folder_, error);
        if (error) return fail(Fault::io, "cannot be made: " + error.message(), Place{folder_.string()});
        sheet_ = rig::example_job_sheet();
        if (auto kept = keep(kJob, sheet_); !kept) return kept;
        if (auto kept = keep(rig::kExampleTableSheetFile, rig::example_table_sheet()); !kept) return kept;
        return keep(rig::kExampleImageFile, rig::standard_image());
    }

    template <class Content>
    Result<void> keep(std::string_view name, const Content& content) {
        files_.emplace_back(name);
        return write_file(at(name), content);
    }
    void note(std::string_view name) { files_.emplace_back(name); }

    Result<void> add_run(const rig::RunText& run) {
        sheet_ += "\n" + rig::run_entry(run);
        return write_file(at(kJob), std::string_view(sheet_));
    }
    Path at(std::string_view name) const { return folder_ / name; }
    Path job() const { return at(kJob); }
    const std::vector<std::string>& files() const { return files_; }

private:
    Path folder_;
    std::string sheet_;
    std::vector<std::string> files_;
};

std::string image_name(int revision) {
    return revision == 0 ? std::string(rig::kExampleImageFile) : fmt::format("revision-{}.bin", revision);
}
std::string log_name(int revision) { return fmt::format("run-{}.csv", revision); }
std::string proposal_name(int revision) { return fmt::format("revision-{}.proposal.json", revision); }

/// Drives the car with the revision's image; the log and its truth are kept, and the run is written into the job sheet.
Result<rig::Truth> drive_revision(Workshop& shop, const DemoRevision& revision, bool hardware_fitted) {
    const auto job = open_job_with_image(shop.job());
    if (!job) return tl::unexpected(job.error());
    const auto image = open_image_of(*job, shop.at(revision.image));
    if (!image) return tl::unexpected(image.error());
    const auto tables = read_tables(*job->description, *image);
    if (!tables) return tl::unexpected(tables.error());
    const rig::DrivePlan plan{.pulls = kPulls};
    auto run = rig::drive({.job = job->sheet,
                           .tables = *tables,
                           .seed = kCarSeed + static_cast<std::uint64_t>(hardware_fitted ? 1 + revision.number : 0),
                           .plan = plan,
                           .hardware_fitted = hardware_fitted,
                           .car_seed = kCarSeed});
    if (!run) return tl::unexpected(run.error());
    if (auto kept = shop.keep(revision.log, csv::write(run->log)); !kept) return tl::unexpected(kept.error());
    const std::string truth_file = Path(revision.log).replace_extension(".truth.json").string();
    if (auto kept = shop.keep(truth_file, truth_json(run->truth, revision.log)); !kept)
        return tl::unexpected(kept.error());
    const auto added = shop.add_run({.log = revision.log,
                                     .image = revision.image,
                                     .fuel_batch = "delivery of 2 March",
                                     .ambient_temp_c = run->truth.day.ambient_temp_c,
                                     .ambient_pressure_kpa = run->truth.day.ambient_pressure_kpa});
    if (!added) return tl::unexpected(added.error());
    return std::move(run->truth);
}

/// Reviews the revision's own run, judges the gates, and keeps the findings.
Result<void> judge(Workshop& shop, DemoRevision& revision) {
    const auto job = open_job_with_image(shop.job());
    if (!job) return tl::unexpected(job.error());
    const std::vector<Path> logs{shop.at(revision.log)};
    const auto open = open_logs(*job, logs, std::nullopt);
    if (!open) return tl::unexpected(open.error());
    revision.review = review(job->sheet, (*open)->driven);
    revision.gates = gates(job->sheet, revision.review, (*open)->driven);
    revision.digest = (*open)->images.front().value_or(Digest{});
    const std::string name = fmt::format("run-{}.review.json", revision.number);
    return shop.keep(name, wire::review_json(revision.review, true));
}

Result<DemoRevision> drive_and_judge(Workshop& shop, DemoRevision revision, bool hardware_fitted) {
    revision.image = image_name(revision.number);
    const auto truth = drive_revision(shop, revision, hardware_fitted);
    if (!truth) return tl::unexpected(truth.error());
    for (const rig::TruthPull& pull : truth->pulls) {
        if (pull.peak_torque_nm > revision.torque_nm) {
            revision.torque_nm = pull.peak_torque_nm;
            revision.torque_rpm = pull.peak_torque_rpm;
        }
        revision.power_kw = std::max(revision.power_kw, pull.peak_power_kw);
        revision.mean_power_kw += pull.peak_power_kw / static_cast<double>(truth->pulls.size());
    }
    if (auto judged = judge(shop, revision); !judged) return tl::unexpected(judged.error());
    return revision;
}

/// Builds revision `number` from its proposal, everything approved by the demo's calibrator.
Result<std::size_t> build_revision(Workshop& shop, int number) {
    const std::string out = image_name(number);
    const auto built =
        build_image(shop.job(), shop.at(proposal_name(number)), shop.at(image_name(number - 1)), shop.at(out),
                    {std::string(kCalibrator), fmt::format("2026-03-{:02}T09:30:00Z", 3 + number)});
    if (!built) return tl::unexpected(built.error());
    shop.note(out);
    shop.note(out + ".json");
    return built->cells.size();
}

Result<void> write_first_calibration(Workshop& shop, const DemoRevision& standard) {
    const auto job = open_job_with_image(shop.job());
    if (!job) return tl::unexpected(job.error());
    const std::vector<Path> logs{shop.at(standard.log)};
    const auto open = open_logs(*job, logs, std::nullopt);
    if (!open) return tl::unexpected(open.error());
    const auto tables = read_tables(*job->description, *job->standard);
    if (!tables) return tl::unexpected(tables.error());
    const auto evidence = gather_evidence(job->sheet, (*open)->driven, standard.review, *tables);
    return shop.keep(proposal_name(1), wire::proposal_json(first_calibration(job->sheet, *tables, evidence, {})));
}

/// The proposal for the revision after `number`, from the runs with the new hardware.
Result<Proposed> propose_next(Workshop& shop, int number) {
    std::vector<Path> logs;
    for (int driven = 1; driven <= number; ++driven) logs.push_back(shop.at(log_name(driven)));
    auto proposed = propose_changes(shop.job(), logs, shop.at(image_name(number)), std::nullopt);
    if (!proposed) return proposed;
    if (auto kept = shop.keep(proposal_name(number + 1), wire::proposal_json(proposed->proposal)); !kept)
        return tl::unexpected(kept.error());
    return proposed;
}

/// Spark cells that the proposal would still raise.
std::size_t spark_raises(const Proposal& proposal) {
    std::size_t raises = 0;
    for (const ProposedTable& table : proposal.tables)
        if (table.role == Role::spark)
            raises += static_cast<std::size_t>(
                std::ranges::count_if(table.cells, [](const ProposedCell& cell) { return cell.to > cell.from; }));
    return raises;
}

std::string title_of(int number) {
    if (number == 1) return "first calibration for the new hardware, a step back";
    if (number == 2) return "proposed from the run of revision 1";
    return fmt::format("proposed from the runs of revisions 1 to {}", number - 1);
}

/// Runs revision after revision until every gate holds and nothing moves any more.
Result<void> close_the_loop(Workshop& shop, Demo& demo, const DemoProgress& progress) {
    for (int number = 1; number <= kMostRevisions; ++number) {
        const auto changed = build_revision(shop, number);
        if (!changed) return tl::unexpected(changed.error());
        auto revision = drive_and_judge(shop,
                                        {.number = number,
                                         .title = title_of(number),
                                         .log = log_name(number),
                                         .proposal = proposal_name(number),
                                         .changed_cells = *changed},
                                        true);
        if (!revision) return tl::unexpected(revision.error());
        demo.revisions.push_back(std::move(*revision));
        progress(demo.revisions.back());
        demo.holds = all_hold(demo.revisions.back().gates);
        const auto next = propose_next(shop, number);
        if (!next) return tl::unexpected(next.error());
        const std::size_t raises = spark_raises(next->proposal);
        if (demo.holds && raises <= kRaisesNotWorthARun) {
            demo.why_it_ended =
                fmt::format("every gate holds and spark stands at its bounds: the next proposal would raise it in {}",
                            raises == 0   ? "no cell"
                            : raises == 1 ? "one cell"
                                          : fmt::format("{} cells", raises));
            return {};
        }
    }
    demo.why_it_ended = fmt::format("{} revisions were driven", kMostRevisions);
    return {};
}

/// The pulls of the last run over engine speed, for those who look before they read.
Result<void> draw_last_run(Workshop& shop, const DemoRevision& last) {
    const std::vector<Path> logs{shop.at(last.log)};
    const auto drawn = review_with_pictures(shop.job(), logs, std::nullopt, shop.at("pictures"));
    if (!drawn) return tl::unexpected(drawn.error());
    for (const Path& picture : drawn->pictures) shop.note("pictures/" + picture.filename().string());
    return {};
}

/// What the program makes of power, from the logs alone: the last revision, against the standard car.
Result<void> estimate_power(Workshop& shop, Demo& demo) {
    const std::vector<Path> logs{shop.at(demo.revisions.front().log), shop.at(demo.revisions.back().log)};
    auto report = power_of_logs(shop.job(), logs, std::nullopt);
    if (!report) return tl::unexpected(report.error());
    demo.power = std::move(*report);
    if (auto kept = shop.keep("power.svg", draw::power_svg(demo.power)); !kept) return kept;
    return shop.keep("power.json", wire::power_json(demo.power));
}

}  // namespace

Result<Demo> run_demo(const Path& folder, const DemoProgress& progress) {
    Workshop shop(folder);
    if (auto opened = shop.open(); !opened) return tl::unexpected(opened.error());
    const auto job = open_job(shop.job());
    if (!job) return tl::unexpected(job.error());
    Demo demo{.folder = folder, .goal = job->sheet.goal};
    auto standard =
        drive_and_judge(shop, {.number = 0, .title = "standard image, standard hardware", .log = log_name(0)}, false);
    if (!standard) return tl::unexpected(standard.error());
    demo.revisions.push_back(std::move(*standard));
    progress(demo.revisions.back());
    if (auto first = write_first_calibration(shop, demo.revisions.back()); !first) return tl::unexpected(first.error());
    if (auto closed = close_the_loop(shop, demo, progress); !closed) return tl::unexpected(closed.error());
    if (auto estimated = estimate_power(shop, demo); !estimated) return tl::unexpected(estimated.error());
    if (auto drawn = draw_last_run(shop, demo.revisions.back()); !drawn) return tl::unexpected(drawn.error());
    if (auto kept = shop.keep("summary.md", summary(demo)); !kept) return tl::unexpected(kept.error());
    demo.files = shop.files();
    return demo;
}

}  // namespace revwright::app
