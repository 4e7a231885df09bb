#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/power_logs.h"
#include "cli/command.h"
#include "cli/text/power_text.h"
#include "wire/power_json.h"

namespace revwright::cli {
namespace {

struct PowerOptions {
    std::string job, channels, picture;
    std::vector<app::Path> logs;
    bool json = false;
};

Exit power(const PowerOptions& options) {
    const auto sheet = options.channels.empty() ? std::nullopt : std::optional<app::Path>(options.channels);
    const auto report = app::power_of_logs(options.job, options.logs, sheet);
    if (!report) return refused(report.error());
    if (!options.picture.empty()) {
        std::vector<app::Path> sources = options.logs;
        sources.emplace_back(options.job);
        if (sheet) sources.push_back(*sheet);
        if (const auto drawn = app::draw_power_report(*report, options.picture, sources); !drawn)
            return refused(drawn.error());
    }
    print(options.json ? wire::power_json(*report) : text::power_text(*report));
    if (!options.picture.empty()) tell("picture drawn: " + options.picture);
    return app::states_power(*report) ? Exit::done : Exit::must_not_proceed;
}

}  // namespace

void add_power(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<PowerOptions>();
    CLI::App* command = app.add_subcommand("power", "power and torque with intervals, or why there is no figure");
    command->add_option("--job", options->job, "job sheet")->required()->type_name("JOB");
    command->add_option("LOG", options->logs, "logs of the job's runs; the last image driven is what it is about")
        ->required();
    command->add_option("--channels", options->channels, "channel sheet of this logger, or a folder of sheets")
        ->type_name("SHEET");
    command->add_option("--picture", options->picture, "draw torque and power over engine speed into this file")
        ->type_name("FILE.svg");
    command->add_flag("--json", options->json, "one JSON document on standard output");
    command->callback([options, &exit] { exit = power(*options); });
}

}  // namespace revwright::cli
