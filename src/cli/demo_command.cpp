#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <fmt/format.h>
#include <memory>

#include "app/demo.h"
#include "app/demo_summary.h"
#include "cli/command.h"
#include "cli/text/cautions.h"
#include "cli/text/layout.h"

namespace revwright::cli {
namespace {

void show(const app::DemoRevision& revision) {
    print(fmt::format("  {}  {}\n     image {}, {} changed, {}, {:.0f} Nm, {:.0f} kW\n     {}\n\n", revision.number,
                      revision.title, to_hex(revision.digest).substr(0, 12),
                      text::count(revision.changed_cells, "cell"), text::count(revision.review.pulls.size(), "pull"),
                      revision.torque_nm, revision.power_kw, app::worst_in_words(revision.review)));
    std::fflush(stdout);
}

std::string ending(const app::Demo& demo) {
    std::string text = fmt::format("Gates on revision {}\n", demo.revisions.back().number);
    for (const app::Gate& gate : demo.revisions.back().gates)
        text += fmt::format("  {:<6}  {:<15}  {}\n", gate.holds ? "holds" : "closed", gate.name, gate.text);
    text += "\nPower of the last revision, estimated from its log\n";
    for (const std::string& sentence : app::power_sentences(demo)) text += text::paragraph(sentence, 2);
    return text + "\n" + text::paragraph("The loop ended because " + demo.why_it_ended + ".", 0) +
           fmt::format("\n{} files are in {}; read {} first.\n\n", demo.files.size(), demo.folder.string(),
                       (demo.folder / "summary.md").string()) +
           text::cautions();
}

Exit demo(const std::string& out) {
    print(
        "Harrowgill Engine Works, Tolvane Arden 2.0T: freer intake and exhaust\n"
        "Workshop, car and people are invented. A simulated car is driven; torque and power are its own truth.\n\n"
        "Revisions\n");
    const auto done = app::run_demo(out, show);
    if (!done) return refused(done.error());
    print(ending(*done));
    return done->holds ? Exit::done : Exit::must_not_proceed;
}

}  // namespace

void add_demo(CLI::App& app, Exit& exit) {
    const auto out = std::make_shared<std::string>("demo");
    CLI::App* command = app.add_subcommand("demo", "the whole loop on a simulated car, every file left in a folder");
    command->add_option("--out", *out, "the folder")->type_name("DIR")->capture_default_str();
    command->callback([out, &exit] { exit = demo(*out); });
}

}  // namespace revwright::cli
