#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>

#include "app/technician_card.h"
#include "cli/command.h"
#include "cli/text/card_text.h"
#include "wire/card_json.h"

namespace revwright::cli {
namespace {

struct Options {
    std::string job, image, html;
    bool json = false;
};

Exit card(const Options& options) {
    const auto made = app::technician_card(options.job, options.image);
    if (!made) return refused(made.error());
    if (!options.html.empty()) {
        const std::vector<app::Path> sources{options.job, options.image, options.image + ".json"};
        if (const auto written = app::write_card(*made, options.html, sources); !written)
            return refused(written.error());
        tell("the card for printing is " + options.html);
    }
    print(options.json ? wire::card_json(*made) : text::card_text(*made));
    return made->in_the_way.empty() ? Exit::done : Exit::must_not_proceed;
}

}  // namespace

void add_card(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<Options>();
    CLI::App* command =
        app.add_subcommand("card", "the technician's page for the next run: what to have, do and watch");
    command->add_option("--job", options->job, "job sheet")->required()->type_name("JOB");
    command->add_option("--image", options->image, "the image that will be driven")->required()->type_name("FILE");
    command->add_option("--html", options->html, "also write it as one page for printing")->type_name("FILE");
    command->add_flag("--json", options->json, "one JSON document on standard output");
    command->callback([options, &exit] { exit = card(*options); });
}

}  // namespace revwright::cli
