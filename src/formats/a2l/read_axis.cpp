#include "formats/a2l/read_axis.h"

#include <cmath>
#include <fmt/format.h>

#include "formats/a2l/numbers.h"

namespace revwright::a2l {
namespace {

using What = Cursor::Item::What;
using Kind = ParameterAxis::Kind;

std::optional<Kind> kind_of(std::string_view word) {
    if (word == "STD_AXIS") return Kind::in_record;
    if (word == "FIX_AXIS") return Kind::fixed;
    if (word == "COM_AXIS") return Kind::shared;
    if (word == "RES_AXIS") return Kind::rescaled;
    if (word == "CURVE_AXIS") return Kind::by_curve;
    return std::nullopt;
}

/// FIX_AXIS_PAR: point i from 0 is offset + i * 2^shift; FIX_AXIS_PAR_DIST: offset + i * distance. Source: ASAM MCD-2
/// MC 1.6.
void read_even_points(Fields& fields, bool shifts, RawAxis& axis) {
    const double first = fields.number("the first point");
    const double step = fields.number(shifts ? "a shift" : "a distance");
    const std::uint64_t count = fields.whole("how many points");
    if (!fields.ok()) return;
    ++axis.fixed_forms;
    axis.even = EvenPoints{first, shifts ? std::exp2(step) : step, count};
}

void read_listed_points(Cursor& cursor, RawAxis& axis) {
    ++axis.fixed_forms;
    axis.axis.fixed_counts.clear();
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) return;
        if (item.what == What::block) cursor.skip(item.at);
        const auto number = number_of(item.at.text);
        if (number && item.what == What::word)
            axis.axis.fixed_counts.push_back(*number);
        else
            because(axis.why_not,
                    fmt::format("its FIX_AXIS_PAR_LIST holds \"{}\", which is no number", brief(item.at.text)));
    }
}

bool keyword(Cursor& cursor, Fields& fields, std::string_view word, RawAxis& axis) {
    if (word == "AXIS_PTS_REF" || word == "CURVE_AXIS_REF") {
        const bool curve = word == "CURVE_AXIS_REF";
        const Token name = fields.word("the name of an axis");
        if (curve == (axis.axis.kind == Kind::by_curve)) axis.axis.shared = name.text;
    } else if (word == "BYTE_ORDER") {
        axis.order = read_order(fields);
    } else if (word == "DEPOSIT") {
        axis.differences = read_deposit(fields);
    } else if (word == "FIX_AXIS_PAR" || word == "FIX_AXIS_PAR_DIST") {
        read_even_points(fields, word == "FIX_AXIS_PAR", axis);
    } else if (word == "PHYS_UNIT") {
        axis.unit = fields.text("a unit");
    } else {
        return pass_keyword(cursor, word);
    }
    return true;
}

}  // namespace

std::optional<RawAxis> read_axis(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawAxis axis;
    axis.at = block;
    axis.axis.place = cursor.place(block);
    const auto kind = kind_of(cursor.peek().text);
    if (!kind) fields.expected("STD_AXIS, FIX_AXIS, COM_AXIS, RES_AXIS or CURVE_AXIS");
    fields.word("a kind of axis");
    const Token input = fields.word("an input quantity");
    axis.conversion = fields.word("a conversion");
    axis.axis.most_points = static_cast<std::size_t>(fields.whole("how many points it may have"));
    fields.number("a lower limit");
    fields.number("an upper limit");
    if (!fields.ok()) {
        finish(cursor);
        return std::nullopt;
    }
    axis.axis.kind = *kind;
    if (input.text != "NO_INPUT_QUANTITY") axis.axis.input = input.text;
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) {
            if (!item.ended) because(axis.why_not, unended(block.text));
            return axis;
        }
        Fields optional(cursor, item.at.text);
        if (item.what == What::word && keyword(cursor, optional, item.at.text, axis) && !optional.ok())
            because(axis.why_not, fmt::format("{} of its axis is not understood", brief(item.at.text)));
        if (item.what != What::block) continue;
        if (item.at.text == "FIX_AXIS_PAR_LIST") {
            cursor.open(item.at);
            read_listed_points(cursor, axis);
        } else {
            cursor.skip(item.at);
        }
    }
}

}  // namespace revwright::a2l
