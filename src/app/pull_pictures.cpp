#include "app/pull_pictures.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "app/files.h"
#include "app/picture_words.h"
#include "app/pull_panels.h"
#include "app/review_logs.h"
#include "draw/pull_drawing.h"
#include "draw/scale.h"
#include "model/cautions.h"
#include "review/window.h"

namespace revwright::app {
namespace {

std::vector<RunView> runs_of(const JobSheet& job, std::span<const DrivenLog> logs, const Review& review) {
    std::vector<RunView> runs;
    for (std::size_t i = 0; i < logs.size(); ++i) {
        RunView run{.job = &job, .driven = logs[i], .index = i};
        std::ranges::copy_if(review.pulls, std::back_inserter(run.pulls),
                             [&](const Pull& pull) { return pull.log == i; });
        run.lag = identify_lambda_lag(*logs[i].log, run.pulls, job.engine);
        runs.push_back(std::move(run));
    }
    return runs;
}

double at_time(const Samples& samples, double time_s) {
    if (samples.times.empty()) return std::numeric_limits<double>::quiet_NaN();
    return value_at(samples.series(), std::clamp(time_s, samples.times.front(), samples.times.back()));
}

/// Where on the panel a finding lies: on the cylinder's line, on the leanest bank, else on the main line.
double value_on(const FilledPanel& filled, const Finding& finding) {
    const RunView& run = *filled.view.run;
    if (finding.cylinder)
        if (const Channel* cylinder = run.find(ChannelKey{filled.main, *finding.cylinder}))
            return at_time(filled.view.samples(*cylinder), finding.time_s);
    if (filled.main != Signal::lambda) return at_time(main_samples(filled.view, filled.main), finding.time_s);
    double leanest = std::numeric_limits<double>::quiet_NaN();
    for (const Channel* bank : run.all(Signal::lambda))
        leanest = std::fmax(leanest, at_time(filled.view.samples(*bank), finding.time_s));
    return leanest;
}

/// A drop of fuel pressure is one of the rail where the rail was so far below its target, else of the supply.
bool belongs(const FilledPanel& filled, const Finding& finding) {
    if (std::ranges::find(filled.checks, finding.check) == filled.checks.end()) return false;
    if (finding.check != "fuel-pressure") return true;
    const RunView& run = *filled.view.run;
    if (!run.find(Signal::fuel_pressure_low_kpa)) return filled.main == Signal::rail_pressure_mpa;
    const double target = at_time(filled.view.samples(Signal::rail_pressure_target_mpa), finding.time_s);
    const double rail = at_time(filled.view.samples(Signal::rail_pressure_mpa), finding.time_s);
    const bool of_rail = target > 0.0 && 100.0 * (target - rail) / target >= 0.5 * finding.value;
    return (filled.main == Signal::rail_pressure_mpa) == of_rail;
}

/// Puts every finding of the pull on the panel it belongs to, numbered from the top of the picture down.
void add_findings(PullPicture& picture, std::vector<FilledPanel>& panels, const Review& review, const Pull& pull) {
    int number = 0;
    std::vector<bool> placed(review.findings.size(), false);
    const auto mark_of = [&](const Finding& finding) {
        return PictureMark{.number = ++number,
                           .severity = finding.severity,
                           .speed_rpm = finding.engine_speed_rpm,
                           .words = margin_in_words(finding)};
    };
    for (FilledPanel& filled : panels)
        for (std::size_t i = 0; i < review.findings.size(); ++i) {
            const Finding& finding = review.findings[i];
            if (placed[i] || finding.pull != pull.index || !belongs(filled, finding)) continue;
            placed[i] = true;
            filled.panel.marks.push_back(mark_of(finding));
            filled.panel.marks.back().value = value_on(filled, finding);
        }
    for (std::size_t i = 0; i < review.findings.size(); ++i)
        if (!placed[i] && review.findings[i].pull == pull.index && review.findings[i].severity != Severity::clear)
            picture.elsewhere.push_back(mark_of(review.findings[i]));
}

std::string stem_of(const std::string& log) { return Path(log).stem().string(); }

std::string facts_of(const Pull& pull, const Log& log, const std::optional<Digest>& image) {
    std::string text = Path(log.file).filename().string();
    if (pull.gear) text += fmt::format(", gear {}", *pull.gear);
    text += fmt::format(", {} to {} rpm, {:.1f} to {:.1f} s", draw::with_thousands(pull.speed_from_rpm),
                        draw::with_thousands(pull.speed_to_rpm), pull.start_s, pull.end_s);
    return text + (image ? ", image\u00a0" + to_hex(*image).substr(0, 12) : ", image\u00a0not\u00a0known");
}

/// Pulls driven with the same image; where that is not known, those of the same log.
bool comparable(const Pull& a, const Pull& b, std::span<const std::optional<Digest>> images) {
    if (a.index == b.index) return false;
    return a.log == b.log || (images[a.log] && images[a.log] == images[b.log]);
}

}  // namespace

std::vector<NamedPicture> pull_pictures(const JobSheet& job, std::span<const DrivenLog> logs,
                                        std::span<const std::optional<Digest>> images, const Review& review) {
    const std::vector<RunView> runs = runs_of(job, logs, review);
    std::vector<NamedPicture> pictures;
    for (const Pull& pull : review.pulls) {
        std::vector<DrawnPull> others;
        for (const Pull& other : review.pulls)
            if (comparable(pull, other, images)) others.push_back({&runs[other.log], other});
        PullPicture picture{.title = pull_verdict(review, pull),
                            .facts = facts_of(pull, *logs[pull.log].log, images[pull.log]),
                            .speed_from_rpm = pull.speed_from_rpm,
                            .speed_to_rpm = pull.speed_to_rpm,
                            .other_pulls = others.size(),
                            .cautions = cautions_paragraph()};
        std::vector<FilledPanel> panels = panels_of({&runs[pull.log], pull}, others, picture.not_drawn);
        add_findings(picture, panels, review, pull);
        for (FilledPanel& filled : panels) picture.panels.push_back(std::move(filled.panel));
        pictures.push_back(
            {fmt::format("{}-pull-{}.svg", stem_of(logs[pull.log].log->file), pull.index), std::move(picture)});
    }
    return pictures;
}

Result<std::vector<Path>> write_pictures(const std::vector<NamedPicture>& pictures, const Path& folder,
                                         std::span<const Path> sources) {
    std::error_code error;
    if (!pictures.empty()) std::filesystem::create_directories(folder, error);
    if (error) return fail(Fault::io, "cannot be made: " + error.message(), Place{folder.string()});
    std::vector<Path> written;
    for (const NamedPicture& picture : pictures) {
        const Path file = folder / picture.file;
        if (auto kept = keep_sources(file, sources); !kept) return tl::unexpected(kept.error());
        const std::string svg = draw::pull_svg(picture.picture);
        if (auto done = write_file(file, std::string_view(svg)); !done) return tl::unexpected(done.error());
        written.push_back(file);
    }
    return written;
}

Result<PicturedReview> review_with_pictures(const Path& job, std::span<const Path> logs,
                                            const std::optional<Path>& channel_sheet, const Path& folder) {
    auto reviewed = review_and_keep(job, logs, channel_sheet);
    if (!reviewed) return tl::unexpected(reviewed.error());
    std::vector<Path> sources(logs.begin(), logs.end());
    sources.push_back(job);
    const OpenLogs& open = *reviewed->open;
    auto written =
        write_pictures(pull_pictures(reviewed->job.sheet, open.driven, open.images, reviewed->review), folder, sources);
    if (!written) return tl::unexpected(written.error());
    return PicturedReview{std::move(reviewed->review), std::move(*written)};
}

}  // namespace revwright::app
