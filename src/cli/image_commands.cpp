#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>

#include "app/build_image.h"
#include "app/clock.h"
#include "app/read_image.h"
#include "cli/command.h"
#include "cli/text/compare_text.h"
#include "cli/text/parameters_text.h"
#include "cli/text/tables_text.h"
#include "wire/image_json.h"
#include "wire/parameters_json.h"
#include "wire/tables_json.h"

namespace revwright::cli {
namespace {

struct Options {
    std::string job, image, table, proposal, undo, out, by, a, b;
    bool approve_all = false, json = false;
    std::optional<app::Path> parent() const { return image.empty() ? std::nullopt : std::optional<app::Path>(image); }
};

Exit tables(const Options& options) {
    const auto read = app::read_image(options.job, options.parent(), options.table);
    if (!read) return refused(read.error());
    if (read->parameters) {
        const ImageEntry& entry = *read->job.sheet.image;
        print(options.json ? wire::parameters_json(*read->parameters, entry, options.table)
                           : text::parameters_text(*read->parameters, entry, options.table));
        return Exit::done;
    }
    print(options.json ? wire::tables_json(read->tables, *read->job.sheet.image, options.table)
                       : text::tables_text(read->tables, options.table));
    return Exit::done;
}

Exit compare(const Options& options) {
    const auto compared = app::compare_images(options.job, options.a, options.b);
    if (!compared) return refused(compared.error());
    print(options.json ? wire::compare_json(compared->comparison, *compared->job.sheet.image)
                       : text::compare_text(compared->comparison));
    return app::stands_in_the_way(compared->comparison) ? Exit::must_not_proceed : Exit::done;
}

Exit build(const Options& options) {
    app::ApproveAll approve_all;
    if (options.approve_all) approve_all = {options.by, app::now_utc()};
    const auto built = app::build_image(options.job, options.proposal, options.parent(), options.out, approve_all);
    if (!built) return refused(built.error());
    print(text::built_text(*built, options.out));
    return Exit::done;
}

Exit undo(const Options& options) {
    const auto parent = app::undo_image(options.job, options.image, options.undo, options.out);
    if (!parent) return refused(parent.error());
    print(options.out + ": the parent, byte for byte\n  image  " + to_hex(parent->digest) + "\n");
    return Exit::done;
}

}  // namespace

void add_tables(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("tables", "the tables of an image in physical units");
    command->add_option("--job", options->job, "job sheet")->required()->type_name("JOB");
    command->add_option("--image", options->image, "image (the standard one if not given)")->type_name("FILE");
    command->add_option("--table", options->table, "only this table")->type_name("NAME");
    command->add_flag("--json", options->json, "one JSON document on standard output");
    command->callback([options, &exit] { exit = tables(*options); });
}

void add_compare(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("compare", "what separates two images, in physical units");
    command->add_option("--job", options->job, "job sheet")->required()->type_name("JOB");
    command->add_option("IMAGE_A", options->a, "image")->required();
    command->add_option("IMAGE_B", options->b, "image held against it")->required();
    command->add_flag("--json", options->json, "one JSON document on standard output");
    command->callback([options, &exit] { exit = compare(*options); });
}

void add_build(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("build", "the next image from approved changes, verified byte by byte");
    command->add_option("--job", options->job, "job sheet")->required()->type_name("JOB");
    auto* approve = command->add_option("--approve", options->proposal, "the proposal with its approvals");
    approve->type_name("PROPOSAL.json");
    command->add_option("--image", options->image, "the parent image (the standard one if not given)")
        ->type_name("FILE");
    command->add_option("--out", options->out, "the image to write; its record goes beside it")
        ->required()
        ->type_name("FILE");
    auto* all =
        command->add_flag("--approve-all", options->approve_all, "approve every moved cell first, in the name given");
    auto* by = command->add_option("--by", options->by, "who approves")->type_name("NAME");
    all->needs(by)->needs(approve);
    by->needs(all);
    auto* undo_option = command->add_option("--undo", options->undo,
                                            "instead: restore the parent of --image from the record beside it");
    undo_option->type_name("RECORD.json")->excludes(approve)->needs("--image");
    command->callback([options, &exit] {
        if (options->undo.empty() && options->proposal.empty()) throw CLI::RequiredError("--approve or --undo");
        if (options->approve_all && options->by.empty()) throw CLI::ValidationError("--by", "a name is needed");
        exit = options->undo.empty() ? build(*options) : undo(*options);
    });
}

}  // namespace revwright::cli
