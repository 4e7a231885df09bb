#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <fmt/format.h>
#include <memory>

#include "app/channel_sheets.h"
#include "app/pull_pictures.h"
#include "app/review_logs.h"
#include "cli/command.h"
#include "cli/text/layout.h"
#include "cli/text/review_text.h"
#include "wire/review_json.h"

namespace revwright::cli {
namespace {

struct Options {
    std::string job, channels, save_channels, pictures;
    std::vector<app::Path> logs;
    bool all = false, json = false;
    std::optional<app::Path> sheet() const {
        return channels.empty() ? std::nullopt : std::optional<app::Path>(channels);
    }
};

Exit inspect(const Options& options) {
    const auto job = options.job.empty() ? std::nullopt : std::optional<app::Path>(options.job);
    const auto found = app::inspect(options.logs.front(), options.sheet(), job);
    if (!found) return refused(found.error());
    if (!options.save_channels.empty()) {
        if (const auto saved = app::save_channel_sheet(found->log, options.save_channels); !saved)
            return refused(saved.error());
        tell("channel sheet written: " + options.save_channels);
    }
    print(options.json ? wire::inspect_json(found->log, found->pulls, found->excluded)
                       : text::inspect_text(found->log, found->pulls, found->excluded));
    return Exit::done;
}

/// Where the pictures are, or why there are none.
std::string pictures_text(const std::vector<app::Path>& pictures, const std::string& folder) {
    if (pictures.empty()) return "No picture was drawn: there is no pull.\n";
    std::string names;
    for (const app::Path& picture : pictures) names += (names.empty() ? "" : ", ") + picture.filename().string();
    return text::paragraph(fmt::format("{} drawn into {}: {}.", text::count(pictures.size(), "picture"), folder, names),
                           0);
}

Exit review(const Options& options) {
    app::PicturedReview found;
    if (options.pictures.empty()) {
        auto reviewed = app::review_logs(options.job, options.logs, options.sheet());
        if (!reviewed) return refused(reviewed.error());
        found.review = std::move(*reviewed);
    } else {
        auto pictured = app::review_with_pictures(options.job, options.logs, options.sheet(), options.pictures);
        if (!pictured) return refused(pictured.error());
        found = std::move(*pictured);
    }
    print(options.json ? wire::review_json(found.review, options.all) : text::review_text(found.review, options.all));
    if (!options.pictures.empty()) {
        const std::string where = pictures_text(found.pictures, options.pictures);
        if (options.json)
            tell(where.substr(0, where.size() - 1));
        else
            print("\n" + where);
    }
    return app::stands_in_the_way(found.review) ? Exit::must_not_proceed : Exit::done;
}

}  // namespace

void add_inspect(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("inspect", "what a log holds: channels, rates, quality, pulls");
    command->add_option("LOG", options->logs, "the log")->required()->expected(1);
    command->add_option("--channels", options->channels, "channel sheet of this logger, or a folder of sheets")
        ->type_name("SHEET");
    command->add_option("--job", options->job, "job sheet, whose car and fuel help to name channels")->type_name("JOB");
    command->add_option("--save-channels", options->save_channels, "write a channel sheet of this log, to complete")
        ->type_name("FILE");
    command->add_flag("--json", options->json, "one JSON document on standard output");
    command->callback([options, &exit] { exit = inspect(*options); });
}

void add_review(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("review", "the pulls of a run, and what they showed against every limit");
    command->add_option("--job", options->job, "job sheet")->required()->type_name("JOB");
    command->add_option("LOG", options->logs, "logs of the job's runs")->required();
    command->add_option("--channels", options->channels, "channel sheet of this logger, or a folder of sheets")
        ->type_name("SHEET");
    command->add_option("--pictures", options->pictures, "draw each pull over engine speed into this folder")
        ->type_name("DIR");
    command->add_flag("--all", options->all, "list what was clear, too");
    command->add_flag("--json", options->json, "one JSON document on standard output");
    command->callback([options, &exit] { exit = review(*options); });
}

}  // namespace revwright::cli
