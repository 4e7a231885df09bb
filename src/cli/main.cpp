#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <cstdio>
#include <exception>
#include <optional>
#include <string>

#include "cli/command.h"
#include "cli/text/cautions.h"

namespace {

constexpr const char* kAbout =
    "Revwright: from a job sheet, a calibration image and the logs of full-load runs to the next image,\n"
    "every limit checked, every changed cell explained.";

/// The first argument, where it stands for a command and there is none of that name.
std::optional<std::string> unknown_command(const CLI::App& app, int argc, char** argv) {
    const std::string first = argc > 1 ? argv[1] : "";
    const auto commands = app.get_subcommands([](const CLI::App*) { return true; });
    const bool known = std::ranges::any_of(commands, [&](const CLI::App* one) { return one->get_name() == first; });
    if (first.empty() || first.front() == '-' || known) return std::nullopt;
    return first;
}

int run(int argc, char** argv) {
    using namespace revwright::cli;
    CLI::App app(kAbout, "revwright");
    app.require_subcommand(1);
    app.footer(std::string("\n") + text::cautions());
    Exit exit = Exit::done;
    add_inspect(app, exit);
    add_review(app, exit);
    add_power(app, exit);
    add_card(app, exit);
    add_propose(app, exit);
    add_build(app, exit);
    add_tables(app, exit);
    add_compare(app, exit);
    add_rig(app, exit);
    add_demo(app, exit);
    add_book(app, exit);
    add_serve(app, exit);
    if (argc < 2) {
        print(app.help());
        return static_cast<int>(Exit::wrong_command);
    }
    if (const auto unknown = unknown_command(app, argc, argv)) {
        tell("revwright: there is no command \"" + *unknown + "\"; revwright --help lists them");
        return static_cast<int>(Exit::wrong_command);
    }
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? static_cast<int>(Exit::done) : static_cast<int>(Exit::wrong_command);
    }
    // A document that could not be handed over in full was not handed over.
    if (std::fflush(stdout) != 0 || std::ferror(stdout)) {
        tell("revwright: standard output cannot be written");
        return static_cast<int>(Exit::input_refused);
    }
    return static_cast<int>(exit);
}

}  // namespace

int main(int argc, char** argv) {
    try {
        return run(argc, argv);
    } catch (const std::exception& fault) {
        revwright::cli::tell(std::string("revwright: a fault of the program: ") + fault.what());
        return static_cast<int>(revwright::cli::Exit::fault);
    }
}
