#include "formats/a2l/reader.h"

#include <fmt/format.h>
#include <utility>

#include "formats/a2l/instances.h"
#include "formats/a2l/read_module.h"
#include "formats/a2l/references.h"
#include "formats/a2l/text.h"

namespace revwright::a2l {
namespace {

void join_inputs(RawModule& module, ModuleJoin& join, const Cursor& cursor, Problems& problems, ParameterSet& set) {
    for (RawMeasurement& measured : module.measurements) {
        measured.input.unit = join.conversions().unit(measured.conversion, measured.unit);
        const std::string name = measured.input.name;
        if (!set.inputs.try_emplace(name, std::move(measured.input)).second)
            problems.note(cursor.place(measured.name),
                          fmt::format("{} stands here again; the first is taken", brief(name)));
    }
    module.measurements.clear();
}

/// Objects and instances in the order of the file; what has been joined is freed at once.
void join_objects(RawModule& module, ModuleJoin& join, Problems& problems, ParameterSet& set,
                  std::deque<Joined>& joined) {
    Instances instances(join, set, joined, problems);
    while (!module.objects.empty() || !module.instances.empty()) {
        const bool object =
            module.instances.empty() ||
            (!module.objects.empty() && module.objects.front().sequence < module.instances.front().sequence);
        if (object) {
            joined.push_back(join.join(std::move(module.objects.front())));
            module.objects.pop_front();
        } else {
            instances.expand(module.instances.front());
            module.instances.pop_front();
        }
    }
}

void note_modules(const std::deque<RawModule>& modules, ParameterSet& set) {
    if (modules.size() < 2) return;
    std::string names;
    for (const RawModule& module : modules)
        names += fmt::format("{}{}", names.empty() ? "" : ", ", brief(module.name.text));
    set.notes.push_back(fmt::format("{}: the parameters of {} modules are read: {}", set.file, modules.size(), names));
}

void note_unknown(const Met& met, ParameterSet& set) {
    for (const auto& [name, unknown] : met.unknown)
        set.notes.push_back(describe(
            {Fault::bad_input, fmt::format("blocks {} are not known and passed over ({} of them)", name, unknown.times),
             unknown.first}));
}

void require_modules(const Met& met, const std::deque<RawModule>& modules, const std::string& file,
                     Problems& problems) {
    if (!modules.empty()) return;
    if (!met.project)
        problems.fatal({.file = file, .line = 1, .column = 1}, "expected an A2L description, found no /begin PROJECT");
    else
        problems.fatal({.file = file, .line = 1, .column = 1}, "the PROJECT holds no MODULE");
}

}  // namespace

Result<ParameterSet> read(std::string_view text, const std::string& file, const IncludeReader& include) {
    const auto other = utf8_of(text, file);
    if (!other) return tl::unexpected(other.error());
    Problems problems;
    Cursor cursor(*other ? std::string_view(**other) : text, file, include, problems);
    Met met;
    std::deque<RawModule> modules = read_modules(cursor, met);
    require_modules(met, modules, file, problems);
    if (problems.any_fatal()) return tl::unexpected(problems.error());

    ParameterSet set;
    set.file = file;
    set.counts = met.counts;
    note_modules(modules, set);
    Budget budget;
    std::deque<Joined> joined;
    for (RawModule& module : modules) {
        ModuleJoin join(cursor, module, set, budget);
        join_inputs(module, join, cursor, problems, set);
        join_objects(module, join, problems, set, joined);
    }
    settle_parameters(joined, problems, set);
    note_unknown(met, set);
    for (std::string& note : problems.notes()) set.notes.push_back(std::move(note));
    return set;
}

}  // namespace revwright::a2l
