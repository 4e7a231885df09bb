#include <fmt/format.h>

#include "formats/a2l/blocks.h"

namespace revwright::a2l {
namespace {

using What = Cursor::Item::What;

/// What an INSTANCE and a STRUCTURE_COMPONENT may both say; false for other words.
bool component_keyword(Cursor& cursor, Fields& fields, std::string_view word, RawComponent& component) {
    if (word == "MATRIX_DIM") {
        component.matrix = read_matrix(fields, cursor);
    } else if (word == "ADDRESS_TYPE") {
        const Token type = fields.word("an address type");
        if (type.text != "DIRECT")
            because(component.why_not, fmt::format("it lies behind a pointer ({})", brief(type.text)));
    } else if (word == "LAYOUT") {
        fields.word("an order");
    } else {
        return pass_keyword(cursor, word);
    }
    return true;
}

std::optional<RawComponent> read_component(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawComponent component;
    component.name = fields.name();
    component.type = fields.word("the name of a type");
    component.offset = fields.whole("an offset");
    if (!fields.ok()) {
        finish(cursor);
        return std::nullopt;
    }
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) {
            if (!item.ended) because(component.why_not, unended(block.text));
            return component;
        }
        if (item.what == What::block) cursor.skip(item.at);
        if (item.what != What::word) continue;
        Fields optional(cursor, item.at.text, component.name.text);
        if (component_keyword(cursor, optional, item.at.text, component) && !optional.ok())
            because(component.why_not, fmt::format("its {} is not understood", brief(item.at.text)));
    }
}

std::optional<RawOverwrite> read_overwrite(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawOverwrite change;
    change.name = fields.name();
    change.axis = fields.whole("the number of an axis");
    bool understood = true;
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done)
            return fields.ok() && understood && item.ended ? std::optional(change) : std::nullopt;
        if (item.what == What::block) cursor.skip(item.at);
        if (item.what != What::word) continue;
        const std::string_view word = item.at.text;
        Fields optional(cursor, word, change.name.text);
        if (word == "CONVERSION") change.conversion = optional.word("a conversion");
        if (word == "INPUT_QUANTITY") change.input = optional.word("an input quantity");
        if (word == "PHYS_UNIT") change.unit = optional.text("a unit");
        if (word == "LIMITS") {
            const double low = optional.number("a lower limit");
            change.limits = std::pair(low, optional.number("an upper limit"));
        }
        pass_keyword(cursor, word);
        understood = understood && optional.ok();
    }
}

void instance_keyword(Cursor& cursor, Fields& fields, std::string_view word, RawInstance& instance) {
    if (word == "READ_ONLY") return because(instance.as.why_not, "the description says READ_ONLY");
    if (word == "ECU_ADDRESS_EXTENSION") {
        instance.address_extension = read_extension(fields);
    } else if (word == "CALIBRATION_ACCESS") {
        const Token access = fields.word("an access");
        if (access.text != "CALIBRATION" && access.text != "OFFLINE_CALIBRATION")
            because(instance.as.why_not, fmt::format("the description says {}", brief(access.text)));
    } else if (!component_keyword(cursor, fields, word, instance.as)) {
        return;
    }
    if (!fields.ok()) because(instance.as.why_not, fmt::format("its {} is not understood", word));
}

void instance_block(Cursor& cursor, const Token& name, RawInstance& instance) {
    if (name.text != "OVERWRITE") return cursor.skip(name);
    constexpr std::size_t kMostOverwrites = 1000;
    if (instance.overwrites.size() >= kMostOverwrites) {
        because(instance.as.why_not, fmt::format("it has more than {} OVERWRITE blocks", kMostOverwrites));
        return cursor.skip(name);
    }
    cursor.open(name);
    if (auto change = read_overwrite(cursor, name))
        instance.overwrites.push_back(std::move(*change));
    else
        because(instance.as.why_not, "one of its OVERWRITE blocks is not understood");
}

}  // namespace

std::optional<RawStructure> read_structure(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawStructure structure;
    structure.name = fields.name();
    fields.text("a long identifier");
    structure.size = fields.whole("a size in bytes");
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) {
            if (!item.ended) because(structure.why_not, unended(block.text));
            return fields.ok() ? std::optional(std::move(structure)) : std::nullopt;
        }
        if (item.what == What::word && item.at.text == "ADDRESS_TYPE" && cursor.peek().text != "DIRECT")
            because(structure.why_not, "it lies behind a pointer");
        if (item.what == What::word) pass_keyword(cursor, item.at.text);
        if (item.what != What::block) continue;
        if (item.at.text != "STRUCTURE_COMPONENT") {
            cursor.skip(item.at);
            continue;
        }
        cursor.open(item.at);
        if (auto component = read_component(cursor, item.at)) structure.components.push_back(std::move(*component));
    }
}

std::optional<RawInstance> read_instance(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawInstance instance;
    instance.as.name = fields.name();
    instance.explained = fields.text("a long identifier");
    instance.as.type = fields.word("the name of a type");
    instance.as.offset = fields.whole("an address");
    if (!fields.ok()) {
        finish(cursor);
        return std::nullopt;
    }
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) {
            if (!item.ended) because(instance.as.why_not, unended(block.text));
            return instance;
        }
        if (item.what == What::block) instance_block(cursor, item.at, instance);
        if (item.what != What::word) continue;
        Fields optional(cursor, item.at.text, instance.as.name.text);
        instance_keyword(cursor, optional, item.at.text, instance);
    }
}

std::optional<RawMeasurement> read_measurement(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawMeasurement measured;
    measured.name = fields.name();
    measured.input.name = measured.name.text;
    measured.input.explained = fields.text("a long identifier");
    fields.word("a data type");
    measured.conversion = fields.word("a conversion");
    fields.number("a resolution");
    fields.number("an accuracy");
    fields.number("a lower limit");
    fields.number("an upper limit");
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) return fields.ok() ? std::optional(std::move(measured)) : std::nullopt;
        if (item.what == What::block) cursor.skip(item.at);
        if (item.what != What::word) continue;
        Fields optional(cursor, item.at.text, measured.name.text);
        if (item.at.text == "PHYS_UNIT")
            measured.unit = optional.text("a unit");
        else
            pass_keyword(cursor, item.at.text);
    }
}

}  // namespace revwright::a2l
