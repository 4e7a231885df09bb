#include <fmt/format.h>

#include "formats/a2l/blocks.h"
#include "formats/a2l/read_axis.h"

namespace revwright::a2l {
namespace {

using What = Cursor::Item::What;
using Kind = ParameterDescription::Kind;

struct ObjectKind {
    Kind kind = Kind::value;
    std::size_t axes = 0;
    bool derived = false;
};

std::optional<ObjectKind> kind_of(std::string_view word) {
    if (word == "VALUE") return ObjectKind{Kind::value};
    if (word == "CURVE") return ObjectKind{Kind::curve, 1};
    if (word == "MAP") return ObjectKind{Kind::map, 2};
    if (word == "CUBOID") return ObjectKind{Kind::cuboid, 3};
    if (word == "CUBE_4") return ObjectKind{Kind::cuboid, 4};
    if (word == "CUBE_5") return ObjectKind{Kind::cuboid, 5};
    if (word == "VAL_BLK") return ObjectKind{Kind::block};
    if (word == "ASCII") return ObjectKind{Kind::text};
    if (word == "DERIVED") return ObjectKind{.derived = true};
    return std::nullopt;
}

void limits(Fields& fields, ParameterDescription& made) {
    made.min = fields.number("a lower limit");
    made.max = fields.number("an upper limit");
    if (*made.min > *made.max)
        because(made.why_not, fmt::format("its limits {} to {} leave no value", *made.min, *made.max));
}

void read_access(Fields& fields, ParameterDescription& made) {
    const Token access = fields.word("an access");
    if (access.text != "CALIBRATION" && access.text != "OFFLINE_CALIBRATION")
        because(made.why_not, fmt::format("the description says {}", brief(access.text)));
}

void read_encoding(Fields& fields, ParameterDescription& made) {
    const Token encoding = fields.word("an encoding");
    if (encoding.text != "UTF8")
        because(made.why_not, fmt::format("its text is in {}, which is not understood", brief(encoding.text)));
}

/// Keywords of CHARACTERISTIC and AXIS_PTS; false for other words.
bool keyword(Cursor& cursor, Fields& fields, std::string_view word, RawObject& object) {
    ParameterDescription& made = object.made;
    if (word == "BYTE_ORDER") {
        object.order = read_order(fields);
    } else if (word == "READ_ONLY") {
        because(made.why_not, "the description says READ_ONLY");
    } else if (word == "CALIBRATION_ACCESS") {
        read_access(fields, made);
    } else if (word == "ECU_ADDRESS_EXTENSION") {
        made.address_extension = read_extension(fields);
    } else if (word == "BIT_MASK") {
        made.bit_mask = fields.whole("a mask");
    } else if (word == "NUMBER") {
        object.number = fields.whole("how many");
    } else if (word == "MATRIX_DIM") {
        object.matrix = read_matrix(fields, cursor);
    } else if (word == "PHYS_UNIT") {
        object.unit = fields.text("a unit");
    } else if (word == "DEPOSIT") {
        object.differences = read_deposit(fields);
    } else if (word == "ENCODING") {
        read_encoding(fields, made);
    } else if (word == "GUARD_RAILS") {
        because(made.why_not, "its outer points are GUARD_RAILS, which are not understood");
    } else {
        return pass_keyword(cursor, word);
    }
    return true;
}

void read_inner_block(Cursor& cursor, const Token& name, RawObject& object) {
    ParameterDescription& made = object.made;
    constexpr std::size_t kMostAxes = 5;
    if (name.text == "AXIS_DESCR" && object.axes.size() < kMostAxes) {
        cursor.open(name);
        if (auto axis = read_axis(cursor, name))
            object.axes.push_back(std::move(*axis));
        else
            because(made.why_not, "one of its axes is not understood");
        return;
    }
    if (name.text == "AXIS_DESCR") because(made.why_not, "it has more than five axes");
    if (name.text == "DEPENDENT_CHARACTERISTIC") because(made.why_not, "it depends on other parameters");
    if (name.text == "MAP_LIST") because(made.why_not, "its values lie in several maps (MAP_LIST)");
    if (name.text == "VIRTUAL_CHARACTERISTIC") {
        because(made.why_not, "it is virtual: calculated from other parameters, not stored");
        made.in_memory = false;
    }
    cursor.skip(name);
}

void read_optional(Cursor& cursor, const Token& block, RawObject& object) {
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) {
            if (!item.ended) because(object.made.why_not, unended(block.text));
            object.written = cursor.span(object.name);
            return;
        }
        if (item.what == What::block) read_inner_block(cursor, item.at, object);
        if (item.what != What::word) continue;
        Fields fields(cursor, item.at.text, object.name.text);
        if (keyword(cursor, fields, item.at.text, object) && !fields.ok())
            because(object.made.why_not, fmt::format("its {} is not understood", brief(item.at.text)));
    }
}

std::optional<RawObject> left_out(Cursor& cursor) {
    finish(cursor);
    return std::nullopt;
}

RawObject begin(Cursor& cursor, Fields& fields) {
    RawObject object;
    object.name = fields.name();
    if (fields.ok()) object.made.place = cursor.place(object.name);
    object.made.name = object.name.text;
    object.made.explained = fields.text("a long identifier");
    return object;
}

bool is_type(const Token& block) { return block.text.starts_with("TYPEDEF_"); }

std::uint64_t address(Fields& fields, const Token& block) { return is_type(block) ? 0 : fields.whole("an address"); }

}  // namespace

std::optional<RawObject> read_characteristic(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawObject object = begin(cursor, fields);
    const auto kind = kind_of(cursor.peek().text);
    if (!kind) fields.expected("VALUE, CURVE, MAP, CUBOID, CUBE_4, CUBE_5, VAL_BLK or ASCII");
    fields.word("a kind");
    object.made.address = address(fields, block);
    object.layout = fields.word("a record layout");
    fields.number("a greatest difference");
    object.conversion = fields.word("a conversion");
    limits(fields, object.made);
    if (!fields.ok()) return left_out(cursor);
    object.made.kind = kind->kind;
    if (kind->derived) because(object.made.why_not, "it is DERIVED: calculated, not stored");
    object.made.in_memory = !kind->derived;
    read_optional(cursor, block, object);
    if (object.axes.size() != kind->axes)
        because(object.made.why_not, fmt::format("it needs {} axes and has {}", kind->axes, object.axes.size()));
    return object;
}

std::optional<RawObject> read_axis_points(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawObject object = begin(cursor, fields);
    object.made.kind = Kind::axis_points;
    object.made.address = address(fields, block);
    const Token input = fields.word("an input quantity");
    object.layout = fields.word("a record layout");
    fields.number("a greatest difference");
    object.conversion = fields.word("a conversion");
    const std::uint64_t points = fields.whole("how many points it may have");
    limits(fields, object.made);
    if (!fields.ok()) return left_out(cursor);
    read_optional(cursor, block, object);
    object.axes.clear();
    RawAxis& axis = object.axes.emplace_back();
    axis.at = object.name;
    axis.axis.place = object.made.place;
    if (input.text != "NO_INPUT_QUANTITY") axis.axis.input = input.text;
    axis.axis.most_points = static_cast<std::size_t>(points);
    axis.conversion = object.conversion;
    axis.unit = object.unit;
    axis.differences = object.differences;
    return object;
}

}  // namespace revwright::a2l
