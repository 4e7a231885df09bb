#include "formats/a2l/join.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <utility>

namespace revwright::a2l {
namespace {

using Kind = ParameterDescription::Kind;
using Item = RecordItem::Kind;

constexpr std::size_t kMostPoints = 65536;                // of an axis that is written out here
constexpr std::size_t kMostCells = std::size_t{1} << 32;  // of a block

std::string_view alignment_word(StoredType type) {
    switch (type) {
        case StoredType::u8:
        case StoredType::i8:
            return "ALIGNMENT_BYTE";
        case StoredType::u16:
        case StoredType::i16:
            return "ALIGNMENT_WORD";
        case StoredType::u32:
        case StoredType::i32:
            return "ALIGNMENT_LONG";
        case StoredType::u64:
        case StoredType::i64:
            return "ALIGNMENT_INT64";
        case StoredType::f16:
            return "ALIGNMENT_FLOAT16_IEEE";
        case StoredType::f32:
            return "ALIGNMENT_FLOAT32_IEEE";
        case StoredType::f64:
            return "ALIGNMENT_FLOAT64_IEEE";
    }
    return "";
}

/// Where no alignment is stated, some take each number to stand at a multiple of its size, others to follow at once. It
/// is only a question where something of a smaller size stands before it.
std::string alignment_doubt(const RecordLayout& layout) {
    for (std::size_t i = 1; i < layout.items.size(); ++i) {
        const StoredType type = layout.items[i].type;
        if (layout.alignment.contains(type)) continue;
        for (std::size_t k = 0; k < i; ++k)
            if (size_of(layout.items[k].type) % size_of(type) != 0)
                return fmt::format("the description states no {}, and its layout {} begins with smaller numbers",
                                   alignment_word(type), layout.name);
    }
    return {};
}

bool computes_axis(const RecordLayout& layout) {
    return std::ranges::any_of(layout.items, [](const RecordItem& item) { return item.kind == Item::fixed_offset; });
}

std::size_t bytes_of(const ParameterDescription& made) {
    std::size_t bytes = sizeof made + made.name.size() * 2 + made.explained.size() + made.why_not.size() +
                        made.layout.size() + made.unit.size() + made.place.file.size() + 64;
    for (const ParameterAxis& axis : made.axes)
        bytes += sizeof axis + axis.fixed_counts.size() * sizeof(double) + axis.shared.size() + axis.input.size() +
                 axis.unit.size() + 64;
    return bytes;
}

}  // namespace

std::string in_brackets(const Place& place) { return fmt::format(" ({}:{}:{})", place.file, place.line, place.column); }

ModuleJoin::ModuleJoin(const Cursor& cursor, RawModule& module, ParameterSet& set, Budget& budget)
    : cursor_(cursor), module_(module), budget_(budget), conversions_(cursor, module, budget) {
    add_layouts(set);
}

void ModuleJoin::add_layouts(ParameterSet& set) {
    for (auto& entry : module_.layouts.entries()) {
        RecordLayout& layout = entry.value.layout;
        Layout used;
        used.key = layout.name;
        for (const auto& [type, border] : module_.alignments) layout.alignment.try_emplace(type, border);
        if (entry.contested) because(layout.why_not, "it stands twice and differs");
        used.doubt = alignment_doubt(layout);
        used.wide = std::ranges::any_of(layout.items, [](const RecordItem& item) { return size_of(item.type) > 1; });
        used.computes_axis = computes_axis(layout);
        // Modules have their own names; a second layout of one name gets its module's behind it.
        if (set.layouts.contains(used.key)) used.key += fmt::format(" of {}", brief(module_.name.text));
        for (int i = 2; set.layouts.contains(used.key); ++i)
            used.key = fmt::format("{} of {} {}", layout.name, brief(module_.name.text), i);
        used.layout = &(set.layouts[used.key] = std::move(layout));
        layouts_.emplace(entry.value.name.text, std::move(used));
    }
}

std::size_t ModuleJoin::size_of_value(const Token& layout) {
    const auto at = layouts_.find(layout.text);
    if (at == layouts_.end()) return 0;
    const RecordLayout& found = *at->second.layout;
    const bool one = found.items.size() == 1 && found.items[0].kind == Item::values && found.items[0].direct;
    return one && found.why_not.empty() ? size_of(found.items[0].type) : 0;
}

const ModuleJoin::Layout* ModuleJoin::layout_of(const RawObject& object, ParameterDescription& made) {
    const auto at = layouts_.find(object.layout.text);
    if (at == layouts_.end()) {
        made.layout = object.layout.text;
        because(made.why_not, fmt::format("its record layout {} is not described{}", brief(object.layout.text),
                                          in_brackets(cursor_.place(object.layout))));
        return nullptr;
    }
    const Layout& layout = at->second;
    made.layout = layout.key;
    if (!layout.layout->why_not.empty())
        because(made.why_not,
                fmt::format("its record layout {} is not understood: {}", layout.key, layout.layout->why_not));
    because(made.why_not, layout.doubt);
    return &layout;
}

ByteOrder ModuleJoin::order(OrderWord own, bool wide, std::string& why_not) const {
    const OrderWord word = own != OrderWord::none ? own : module_.order;
    switch (word) {
        case OrderWord::big:
            return ByteOrder::big;
        case OrderWord::little:
            return ByteOrder::little;
        case OrderWord::unsure_big:
        case OrderWord::unsure_little:
            if (wide) because(why_not, "BYTE_ORDER BIG_ENDIAN and LITTLE_ENDIAN have had both meanings");
            return word == OrderWord::unsure_big ? ByteOrder::big : ByteOrder::little;
        case OrderWord::mixed:
            if (wide) because(why_not, "its BYTE_ORDER is neither MSB_FIRST nor MSB_LAST");
            return ByteOrder::big;
        case OrderWord::none:
            break;
    }
    if (wide) because(why_not, "the description states no BYTE_ORDER");
    return ByteOrder::little;
}

void ModuleJoin::set_size(const RawObject& object, ParameterDescription& made) const {
    double cells = 1.0;
    for (const std::size_t n : object.matrix) cells *= static_cast<double>(n);
    const auto number = static_cast<double>(object.number.value_or(0));
    if (made.kind != Kind::block && made.kind != Kind::text) {
        if (cells != 1.0 && made.kind == Kind::value) because(made.why_not, "it is an array of values");
        return;
    }
    made.dimensions = object.matrix;
    if (object.matrix.empty() && object.number) made.dimensions = {static_cast<std::size_t>(*object.number)};
    if (!object.matrix.empty() && object.number && number != cells)
        because(made.why_not,
                fmt::format("its NUMBER {} is not the {} cells of its MATRIX_DIM", *object.number, cells));
    if (made.dimensions.empty()) because(made.why_not, "it says nothing of its size");
    if (std::max(cells, number) > static_cast<double>(kMostCells) || cells == 0.0 ||
        object.number == std::uint64_t{0}) {
        because(made.why_not, "its size is none that can be");
        made.dimensions.clear();
    }
}

void ModuleJoin::fix_points(RawAxis& raw, std::size_t which, const Layout* layout, Joined& joined) {
    ParameterAxis& axis = raw.axis;
    std::string& why_not = joined.parameter.why_not;
    if (raw.fixed_forms > 1) because(why_not, "one of its fixed axes is given in more than one way");
    if (raw.fixed_forms == 0) {
        if (layout == nullptr || !layout->computes_axis)
            because(why_not, "one of its fixed axes has no points, neither here nor in its layout");
        return;
    }
    const std::uint64_t count = raw.even ? raw.even->count : axis.fixed_counts.size();
    if (raw.even) {
        const double last = raw.even->first + raw.even->between * static_cast<double>(count);
        if (count > kMostPoints || !std::isfinite(last) ||
            !budget_.take(static_cast<std::size_t>(count) * sizeof(double)))
            return because(why_not, fmt::format("one of its fixed axes has {} points, more than can be", count));
        axis.fixed_counts.clear();
        for (std::uint64_t i = 0; i < count; ++i)
            axis.fixed_counts.push_back(raw.even->first + raw.even->between * static_cast<double>(i));
    }
    if (count != axis.most_points)
        because(why_not, fmt::format("its fixed axis has {} points and says {}", count, axis.most_points));
    if (layout != nullptr && layout->layout->fixed_counts[which].value_or(count) != count)
        because(why_not, fmt::format("its fixed axis has {} points and its layout says {}", count,
                                     *layout->layout->fixed_counts[which]));
}

ParameterAxis ModuleJoin::axis(RawAxis& raw, const RawObject& object, const Layout* layout, Joined& joined) {
    ParameterDescription& made = joined.parameter;
    const auto which = static_cast<std::size_t>(&raw - object.axes.data());
    because(made.why_not, raw.why_not);
    ConversionUse use = conversions_.use(raw.conversion, raw.unit);
    because(made.why_not, use.why_not);
    joined.bytes += use.bytes;
    raw.axis.conversion = std::move(use.conversion);
    raw.axis.unit = std::move(use.unit);
    const bool wide = layout != nullptr && layout->wide;
    if (raw.order != OrderWord::none) raw.axis.order = order(raw.order, wide, made.why_not);
    if (raw.axis.kind == ParameterAxis::Kind::in_record)
        raw.axis.differences = raw.differences.value_or(module_.differences.value_or(false));
    if (raw.axis.kind == ParameterAxis::Kind::fixed) fix_points(raw, which, layout, joined);
    return std::move(raw.axis);
}

void ModuleJoin::check_module(const RawObject& object, ParameterDescription& made) const {
    if (module_.addresses_shifted) because(made.why_not, "all addresses are shifted (ECU_CALIBRATION_OFFSET)");
    if (module_.variant_coded.contains(object.name.text))
        because(made.why_not, "it has several variants (VARIANT_CODING)");
}

Joined ModuleJoin::join(RawObject object) {
    Joined joined{.parameter = std::move(object.made), .written = object.written};
    ParameterDescription& made = joined.parameter;
    const Layout* const layout = layout_of(object, made);
    made.order = order(object.order, layout != nullptr && layout->wide, made.why_not);
    ConversionUse use = conversions_.use(object.conversion, object.unit);
    because(made.why_not, use.why_not);
    made.conversion = std::move(use.conversion);
    made.unit = std::move(use.unit);
    set_size(object, made);
    made.axes.reserve(object.axes.size());
    for (RawAxis& raw : object.axes) made.axes.push_back(axis(raw, object, layout, joined));
    check_module(object, made);
    joined.bytes += use.bytes + bytes_of(made);
    return joined;
}

}  // namespace revwright::a2l
