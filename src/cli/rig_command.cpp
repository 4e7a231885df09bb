#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <fmt/format.h>
#include <memory>

#include "app/rig_run.h"
#include "cli/command.h"
#include "cli/text/layout.h"

namespace revwright::cli {
namespace {

struct Options {
    std::string job, image, out;
    std::vector<std::string> faults;
    std::uint64_t seed = 1;
};

Exit rig(const Options& options) {
    app::RigOrder order{.image = {}, .seed = options.seed, .faults = {}};
    if (!options.image.empty()) order.image = options.image;
    for (const std::string& fault : options.faults) order.faults.push_back({fault});
    const auto run = app::drive_rig(options.job, order, options.out);
    if (!run) return refused(run.error());
    print(fmt::format("{}: {} rows, {} planted, driven with image {}\n  what really happened: {}\n", options.out,
                      run->rows, text::count(run->truth.pulls.size(), "pull"), to_hex(run->image).substr(0, 12),
                      app::truth_beside(options.out).string()));
    return Exit::done;
}

std::string fault_names() {
    std::string names;
    for (const rig::FaultInfo& fault : rig::all_faults())
        names += (names.empty() ? "" : ", ") + std::string(fault.name);
    return names;
}

std::string known_fault(const std::string& name) {
    for (const rig::FaultInfo& fault : rig::all_faults())
        if (fault.name == name) return "";
    return fmt::format("the rig knows no fault named {}; one of: {}", name, fault_names());
}

}  // namespace

void add_rig(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("rig", "a run of the simulated car with an image of the job");
    command->add_option("--job", options->job, "job sheet")->required()->type_name("JOB");
    command->add_option("--image", options->image, "image to drive (the standard one if not given)")->type_name("FILE");
    command->add_option("--seed", options->seed, "of the car and its day")
        ->type_name("N")
        ->capture_default_str()
        ->check(CLI::NonNegativeNumber);
    command->add_option("--fault", options->faults, "plant a fault; one of: " + fault_names())
        ->type_name("NAME")
        ->check(known_fault);
    command
        ->add_option("--out", options->out,
                     "the log to write, as MDF 4 where its name ends in .mf4, else as CSV; its truth goes beside it")
        ->required()
        ->type_name("LOG");
    command->callback([options, &exit] { exit = rig(*options); });
}

}  // namespace revwright::cli
