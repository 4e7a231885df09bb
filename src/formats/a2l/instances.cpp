#include "formats/a2l/instances.h"

#include <algorithm>
#include <fmt/format.h>

namespace revwright::a2l {
namespace {

constexpr std::size_t kDeepest = 16;

}  // namespace

void Instances::left_out(const Token& what, const std::string& why) {
    problems_.note(join_.cursor().place(what), fmt::format("{} is left out: {}", brief(what.text), why));
}

void Instances::expand(const RawInstance& instance) {
    instance_ = &instance;
    overwritten_.assign(instance.overwrites.size(), false);
    const std::size_t before = joined_.size();
    const std::string name(instance.as.name.text);
    place(instance.as, {.name = name, .structure = name, .address = 0});
    for (std::size_t i = 0; i < overwritten_.size(); ++i) {
        if (overwritten_[i]) continue;
        const Token& change = instance.overwrites[i].name;
        const std::string why =
            fmt::format("an OVERWRITE of {} is for {}, which it does not hold", brief(name), brief(change.text));
        problems_.note(join_.cursor().place(change), why);
        for (std::size_t k = before; k < joined_.size(); ++k) because(joined_[k].parameter.why_not, why);
    }
}

std::size_t Instances::step(const RawComponent& component) {
    if (const auto* structure = join_.module().structures.find(component.type.text)) return structure->value.size;
    auto* const object = join_.module().object_types.find(component.type.text);
    return object == nullptr ? 0 : prototype(component.type, object->value).step;
}

void Instances::place(const RawComponent& component, const Around& around) {
    Around here = around;
    here.address += component.offset;
    because(here.why_not, component.why_not);
    // An array of a measurement is one measurement.
    if (component.matrix.empty() || join_.module().measurement_types.find(component.type.text) != nullptr)
        return place_one(component, here);
    if (component.matrix.size() > 1)
        return left_out(component.name, "an array of more than one dimension is not taken apart");
    const std::size_t size = step(component);
    if (size == 0) return left_out(component.name, "how far the elements of this array lie apart is not known");
    for (std::size_t i = 0; i < component.matrix[0] && !full_; ++i) {
        Around element = here;
        element.name += fmt::format("[{}]", i);
        element.address += i * size;
        place_one(component, element);
    }
}

void Instances::place_one(const RawComponent& component, const Around& around) {
    constexpr std::size_t kVisits = 2 * kMostParameters;
    if (full_) return;
    if (++visited_ > kVisits || set_.parameters.size() + joined_.size() >= kMostParameters ||
        !join_.budget().take(around.name.size() + sizeof(Around))) {
        full_ = true;
        return left_out(
            instance_->as.name,
            fmt::format("the rest of it and of what follows would make more than {} parameters", kMostParameters));
    }
    RawModule& module = join_.module();
    if (auto* const structure = module.structures.find(component.type.text)) {
        Around inside = around;
        inside.structure = around.name;
        because(inside.why_not, structure->value.why_not);
        if (structure->contested)
            because(inside.why_not, fmt::format("its type {} stands twice and differs", brief(component.type.text)));
        return this->structure(structure->value, inside);
    }
    if (module.object_types.find(component.type.text) != nullptr) return parameter(component, around);
    if (auto* const measured = module.measurement_types.find(component.type.text))
        return input(measured->value, around);
    if (!module.other_types.contains(component.type.text))
        left_out(component.name, fmt::format("its type {} is not described", brief(component.type.text)));
}

void Instances::structure(const RawStructure& structure, const Around& around) {
    if (open_.size() >= kDeepest)
        return left_out(structure.name, fmt::format("structures lie deeper than {} in one another", kDeepest));
    if (std::ranges::find(open_, &structure) != open_.end())
        return left_out(structure.name, "this structure holds itself");
    open_.push_back(&structure);
    for (const RawComponent& component : structure.components) {
        if (full_) break;
        Around inside = around;
        inside.name += fmt::format(".{}", component.name.text);
        inside.relative += inside.relative.empty() ? "" : ".";
        inside.relative += component.name.text;
        place(component, inside);
    }
    open_.pop_back();
}

Instances::Prototype& Instances::prototype(const Token& type, RawObject& raw) {
    const auto [at, fresh] = prototypes_.try_emplace(type.text);
    if (fresh) {
        if (raw.made.kind == ParameterDescription::Kind::value) at->second.step = join_.size_of_value(raw.layout);
        at->second.joined = join_.join(raw);
        at->second.joined.written = {};
    }
    return at->second;
}

void Instances::parameter(const RawComponent& component, const Around& around) {
    auto& type = *join_.module().object_types.find(component.type.text);
    const Prototype& prototype = this->prototype(component.type, type.value);
    if (!join_.budget().take(prototype.joined.bytes + 2 * around.name.size() + instance_->explained.size())) {
        full_ = true;
        return left_out(component.name, "it and what follows take too much room");
    }
    Joined& copy = joined_.emplace_back(prototype.joined);
    ParameterDescription& made = copy.parameter;
    made.name = around.name;
    if (made.explained.empty()) made.explained = instance_->explained;
    made.address = around.address;
    made.address_extension = instance_->address_extension;
    made.place = join_.cursor().place(instance_->as.name);
    because(made.why_not, around.why_not);
    if (type.contested)
        because(made.why_not, fmt::format("its type {} stands twice and differs", brief(component.type.text)));
    for (ParameterAxis& axis : made.axes)
        for (std::string* const name : {&axis.shared, &axis.input})
            if (name->starts_with("THIS.")) *name = around.structure + name->substr(4);
    overwrite(made, around);
}

void Instances::overwrite(ParameterDescription& made, const Around& around) {
    for (std::size_t i = 0; i < instance_->overwrites.size(); ++i) {
        const RawOverwrite& change = instance_->overwrites[i];
        const bool meant = around.relative.empty() ? change.name.text == instance_->as.name.text ||
                                                         change.name.text == instance_->as.type.text
                                                   : change.name.text == around.relative;
        if (!meant) continue;
        overwritten_[i] = true;
        apply(change, made);
    }
}

void Instances::apply(const RawOverwrite& change, ParameterDescription& made) {
    if (change.axis > made.axes.size())
        return because(made.why_not,
                       fmt::format("an OVERWRITE is for its axis {}, which it does not have", change.axis));
    ParameterAxis* const axis = change.axis == 0 ? nullptr : &made.axes[static_cast<std::size_t>(change.axis - 1)];
    if (change.conversion) {
        ConversionUse use = join_.conversions().use(*change.conversion, change.unit);
        because(made.why_not, use.why_not);
        (axis != nullptr ? axis->conversion : made.conversion) = std::move(use.conversion);
        (axis != nullptr ? axis->unit : made.unit) = std::move(use.unit);
    } else if (change.unit) {
        (axis != nullptr ? axis->unit : made.unit) = *change.unit;
    }
    if (change.limits && axis == nullptr) {
        made.min = change.limits->first;
        made.max = change.limits->second;
        if (*made.min > *made.max)
            because(made.why_not, fmt::format("its limits {} to {} leave no value", *made.min, *made.max));
    }
    if (change.input && axis != nullptr)
        axis->input = change.input->text == "NO_INPUT_QUANTITY" ? "" : change.input->text;
}

void Instances::input(const RawMeasurement& measured, const Around& around) {
    constexpr std::size_t kNode = 256;  // of a map, about
    if (!join_.budget().take(kNode + 2 * around.name.size() + measured.input.explained.size())) {
        full_ = true;
        return left_out(measured.name, "it and what follows take too much room");
    }
    InputDescription input = measured.input;
    input.name = around.name;
    input.unit = join_.conversions().unit(measured.conversion, measured.unit);
    set_.inputs.try_emplace(around.name, std::move(input));
}

}  // namespace revwright::a2l
