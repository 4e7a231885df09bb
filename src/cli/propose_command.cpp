#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>

#include "app/files.h"
#include "app/propose_changes.h"
#include "cli/command.h"
#include "cli/text/cautions.h"
#include "cli/text/layout.h"
#include "cli/text/proposal_text.h"
#include "model/review_words.h"
#include "wire/proposal_json.h"

namespace revwright::cli {
namespace {

struct Options {
    std::string job, image, channels, out;
    std::vector<app::Path> logs;
    bool json = false;
};

std::optional<app::Path> path(const std::string& text) {
    return text.empty() ? std::nullopt : std::optional<app::Path>(text);
}

Exit propose(const Options& options) {
    const auto proposed = app::propose_changes(options.job, options.logs, path(options.image), path(options.channels));
    if (!proposed) return refused(proposed.error());
    if (!options.out.empty()) {
        std::vector<app::Path> sources = options.logs;
        sources.insert(sources.end(), {options.job, options.image, options.channels});
        if (const auto kept = app::keep_sources(options.out, sources); !kept) return refused(kept.error());
    }
    const std::string document = wire::proposal_json(proposed->proposal);
    if (!options.out.empty())
        if (const auto written = app::write_file(options.out, document); !written) return refused(written.error());
    if (options.json) {
        print(document);
        tell(text::cautions());
    } else {
        print(text::paragraph(verdict_in_words(proposed->review), 0) + "\n" + text::proposal_text(proposed->proposal) +
              "\n" + text::cautions());
    }
    return app::stands_in_the_way(*proposed) ? Exit::must_not_proceed : Exit::done;
}

}  // namespace

void add_propose(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("propose", "bounded changes for the next revision, each with its reasons");
    command->add_option("--job", options->job, "job sheet")->required()->type_name("JOB");
    command->add_option("LOG", options->logs, "logs of the job's runs")->required();
    command->add_option("--image", options->image, "the parent image (the standard one if not given)")
        ->type_name("FILE");
    command->add_option("--channels", options->channels, "channel sheet of this logger")->type_name("SHEET");
    command->add_option("--out", options->out, "write the proposal here")->type_name("PROPOSAL.json");
    command->add_flag("--json", options->json, "one JSON document on standard output");
    command->callback([options, &exit] { exit = propose(*options); });
}

}  // namespace revwright::cli
