#include <algorithm>
#include <array>
#include <fmt/format.h>

#include "formats/a2l/blocks.h"

namespace revwright::a2l {
namespace {

using What = Cursor::Item::What;
using Item = RecordItem;

/// Which axis the end of a keyword names: _X, _Y, _Z, _4, _5 (Z4 and Z5); _W of RIP_ADDR_W is the result itself.
std::optional<std::size_t> axis_of(std::string_view keyword) {
    constexpr std::string_view kAxes = "XYZ45";
    if (keyword.ends_with("_W")) return 0;
    if (keyword.size() < 2 || keyword[keyword.size() - 2] != '_') return std::nullopt;
    const std::size_t axis = kAxes.find(keyword.back());
    return axis == std::string_view::npos ? std::nullopt : std::optional(axis);
}

struct KindWord {
    std::string_view word;
    Item::Kind kind;
};
/// Items that are a position and a type; what follows of the others is read below.
constexpr std::array<KindWord, 9> kItems = {{{"AXIS_PTS", Item::Kind::axis_points},
                                             {"AXIS_RESCALE", Item::Kind::axis_pairs},
                                             {"NO_AXIS_PTS", Item::Kind::axis_count},
                                             {"NO_RESCALE", Item::Kind::pair_count},
                                             {"OFFSET", Item::Kind::fixed_offset},
                                             {"SHIFT_OP", Item::Kind::fixed_shift},
                                             {"DIST_OP", Item::Kind::fixed_step},
                                             {"SRC_ADDR", Item::Kind::other},
                                             {"RIP_ADDR", Item::Kind::other}}};

std::optional<Item::Kind> kind_of(std::string_view keyword) {
    if (keyword == "FNC_VALUES") return Item::Kind::values;
    if (keyword == "IDENTIFICATION" || keyword == "RESERVED") return Item::Kind::other;
    if (!axis_of(keyword)) return std::nullopt;
    const std::string_view stem = keyword.substr(0, keyword.size() - 2);
    const auto at = std::ranges::find(kItems, stem, &KindWord::word);
    return at == kItems.end() ? std::nullopt : std::optional(at->kind);
}

std::optional<StoredType> reserved_type(std::string_view word) {
    if (word == "BYTE") return StoredType::u8;
    if (word == "WORD") return StoredType::u16;
    if (word == "LONG") return StoredType::u32;
    return stored_type(word);
}

std::optional<Item::Order> order_of(std::string_view word) {
    if (word == "COLUMN_DIR") return Item::Order::column_dir;
    if (word == "ROW_DIR") return Item::Order::row_dir;
    if (word == "ALTERNATE_CURVES") return Item::Order::alternate_curves;
    if (word == "ALTERNATE_WITH_X") return Item::Order::alternate_with_x;
    if (word == "ALTERNATE_WITH_Y") return Item::Order::alternate_with_y;
    return std::nullopt;
}

/// The word that comes next where it is one of those known; else it is reported as not what was expected.
template <class Read>
auto known(Cursor& cursor, Fields& fields, std::string_view expected, Read read) -> decltype(read({})) {
    const auto value = read(cursor.peek().text);
    if (!value) fields.expected(expected);
    fields.word(expected);
    return value;
}

void read_addressing(Cursor& cursor, Fields& fields, Item& item) {
    const auto direct = [](std::string_view word) -> std::optional<bool> {
        if (word == "DIRECT") return true;
        if (word == "PBYTE" || word == "PWORD" || word == "PLONG" || word == "PLONGLONG") return false;
        return std::nullopt;
    };
    item.direct = known(cursor, fields, "DIRECT, PBYTE, PWORD or PLONG", direct).value_or(true);
}

void read_index_order(Cursor& cursor, Fields& fields, Item& item) {
    const auto descending = [](std::string_view word) -> std::optional<bool> {
        if (word == "INDEX_INCR") return false;
        if (word == "INDEX_DECR") return true;
        return std::nullopt;
    };
    item.descending = known(cursor, fields, "INDEX_INCR or INDEX_DECR", descending).value_or(false);
    read_addressing(cursor, fields, item);
}

Item read_item(Cursor& cursor, Fields& fields, std::string_view keyword, Item::Kind kind) {
    Item item;
    item.kind = kind;
    item.axis = axis_of(keyword).value_or(0);
    const std::uint64_t position = fields.whole("a position");
    constexpr std::uint64_t kMost = 1'000'000;
    if (fields.ok() && position > kMost) fields.expected("a position in memory below a million before");
    item.position = static_cast<int>(position);
    const auto types = keyword == "RESERVED" ? reserved_type : stored_type;
    item.type = known(cursor, fields, "a data type", types).value_or(StoredType::u8);
    if (kind == Item::Kind::values) {
        item.order =
            known(cursor, fields, "COLUMN_DIR, ROW_DIR or ALTERNATE_..", order_of).value_or(Item::Order::row_dir);
        read_addressing(cursor, fields, item);
    } else if (kind == Item::Kind::axis_points) {
        read_index_order(cursor, fields, item);
    } else if (kind == Item::Kind::axis_pairs) {
        item.length = static_cast<std::size_t>(fields.whole("how many pairs"));
        read_index_order(cursor, fields, item);
    }
    return item;
}

void keyword(Cursor& cursor, Fields& fields, std::string_view word, RecordLayout& layout) {
    if (const auto kind = kind_of(word)) {
        const Item item = read_item(cursor, fields, word, *kind);
        if (!fields.ok()) return;
        const auto same = [&](const Item& other) { return other.kind == item.kind && other.axis == item.axis; };
        if (item.kind != Item::Kind::other && std::ranges::any_of(layout.items, same))
            because(layout.why_not, fmt::format("it has {} twice", brief(word)));
        layout.items.push_back(item);
    } else if (word.starts_with("FIX_NO_AXIS_PTS_") && axis_of(word)) {
        layout.fixed_counts[*axis_of(word)] = static_cast<std::size_t>(fields.whole("how many points"));
    } else if (!aligned_types(word).empty()) {
        read_alignment(fields, word, layout.alignment);
    } else if (word == "STATIC_RECORD_LAYOUT" || word == "STATIC_ADDRESS_OFFSETS") {
        layout.keeps_places = true;
    } else {
        because(layout.why_not, fmt::format("{} in it is not known", brief(word)));
    }
}

/// Two items in one place are understood only where the values alternate with the points of an axis.
void check_positions(RecordLayout& layout) {
    std::ranges::stable_sort(layout.items, {}, &Item::position);
    const bool alternates = std::ranges::any_of(layout.items, [](const Item& item) {
        return item.order == Item::Order::alternate_with_x || item.order == Item::Order::alternate_with_y;
    });
    const auto twice = std::ranges::adjacent_find(layout.items, {}, &Item::position);
    if (twice != layout.items.end() && !alternates)
        because(layout.why_not, fmt::format("it has two things at position {}", twice->position));
    if (layout.items.empty()) because(layout.why_not, "it says nothing of what is stored");
}

}  // namespace

std::optional<RawLayout> read_layout(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawLayout raw{.name = fields.name(), .layout = {}};
    RecordLayout& layout = raw.layout;
    layout.name = raw.name.text;
    constexpr std::size_t kMostItems = 1000;
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) {
            if (!item.ended) because(layout.why_not, unended(block.text));
            break;
        }
        if (item.what == What::block) {
            because(layout.why_not, fmt::format("{} in it is not known", brief(item.at.text)));
            cursor.skip(item.at);
        }
        if (layout.items.size() >= kMostItems) because(layout.why_not, fmt::format("it has {} items", kMostItems));
        if (item.what != What::word || layout.items.size() >= kMostItems) continue;
        Fields optional(cursor, item.at.text, raw.name.text);
        keyword(cursor, optional, item.at.text, layout);
        if (!optional.ok()) because(layout.why_not, fmt::format("{} in it is not understood", brief(item.at.text)));
    }
    check_positions(layout);
    return fields.ok() ? std::optional(std::move(raw)) : std::nullopt;
}

}  // namespace revwright::a2l
