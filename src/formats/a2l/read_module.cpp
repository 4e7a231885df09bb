#include "formats/a2l/read_module.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>

#include "formats/a2l/blocks.h"

namespace revwright::a2l {
namespace {

using What = Cursor::Item::What;

/// Blocks of a MODULE that mean nothing to a table.
constexpr std::array<std::string_view, 8> kPassedBlocks = {"IF_DATA",     "FUNCTION", "GROUP",       "FRAME",
                                                           "USER_RIGHTS", "BLOB",     "TRANSFORMER", "ANNOTATION"};
constexpr std::size_t kUnknownKinds = 20;
constexpr std::size_t kMostModules = 100;

/// Reports a name that stands twice; the first stays.
template <class T>
void keep(Cursor& cursor, Named<T>& named, std::string_view kind, const Token& name, T value, const Token& from) {
    const std::string_view written = cursor.span(from);
    auto* const first = named.add(name, std::move(value), written);
    if (first == nullptr || !first->contested) return;
    cursor.problems().note(cursor.place(name),
                           fmt::format("{} {} stands twice and differs; the first is taken", kind, brief(name.text)));
}

void read_par(Cursor& cursor, const Token& block, RawModule& module) {
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) return;
        if (item.what == What::block) cursor.skip(item.at);
        if (item.what != What::word) continue;
        Fields fields(cursor, block.text);
        if (item.at.text == "ECU_CALIBRATION_OFFSET")
            module.addresses_shifted = fields.number("an offset") != 0.0 || !fields.ok();
    }
}

void read_variants(Cursor& cursor, RawModule& module) {
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) return;
        if (item.what != What::block) continue;
        if (item.at.text == "VAR_CHARACTERISTIC" && cursor.peek().kind == Token::Kind::word)
            module.variant_coded.insert(cursor.peek().text);
        cursor.skip(item.at);
    }
}

class ModuleReader {
public:
    ModuleReader(Cursor& cursor, Met& met, RawModule& module) : cursor_(cursor), met_(met), module_(module) {}

    void read() {
        for (;;) {
            const Cursor::Item item = cursor_.item();
            if (item.what == What::done) return;
            if (item.what == What::block) block(item.at);
        }
    }

private:
    void block(const Token& name) {
        if (std::ranges::find(kPassedBlocks, name.text) != kPassedBlocks.end()) return cursor_.skip(name);
        if (name.text == "A2ML") return cursor_.skip_foreign(name);
        cursor_.open(name);
        if (object(name) || conversion(name) || type(name) || about_all(name)) return;
        unknown(name);
        finish(cursor_);
    }

    bool object(const Token& name) {
        if (name.text == "CHARACTERISTIC") {
            ++met_.counts.characteristics;
            if (auto made = read_characteristic(cursor_, name)) in_order(module_.objects, *made);
        } else if (name.text == "AXIS_PTS") {
            ++met_.counts.axis_points;
            if (auto made = read_axis_points(cursor_, name)) in_order(module_.objects, *made);
        } else if (name.text == "MEASUREMENT") {
            ++met_.counts.measurements;
            if (auto made = read_measurement(cursor_, name)) module_.measurements.push_back(std::move(*made));
        } else if (name.text == "INSTANCE") {
            ++met_.counts.instances;
            if (auto made = read_instance(cursor_, name)) in_order(module_.instances, *made);
        } else {
            return false;
        }
        return true;
    }

    bool conversion(const Token& name) {
        if (name.text == "COMPU_METHOD") {
            ++met_.counts.conversions;
            if (auto made = read_conversion(cursor_, name)) named(module_.conversions, name, made->name, *made);
        } else if (name.text == "COMPU_TAB") {
            if (auto made = read_number_table(cursor_, name)) named(module_.tables, name, made->first, made->second);
        } else if (name.text == "COMPU_VTAB" || name.text == "COMPU_VTAB_RANGE") {
            if (auto made = read_words(cursor_, name)) named(module_.words, name, made->first, made->second);
        } else if (name.text == "UNIT") {
            if (auto made = read_unit(cursor_, name)) named(module_.units, name, made->first, made->second);
        } else if (name.text == "RECORD_LAYOUT") {
            ++met_.counts.record_layouts;
            if (auto made = read_layout(cursor_, name)) named(module_.layouts, name, made->name, *made);
        } else {
            return false;
        }
        return true;
    }

    bool type(const Token& name) {
        if (name.text == "TYPEDEF_CHARACTERISTIC") {
            if (auto made = read_characteristic(cursor_, name)) named(module_.object_types, name, made->name, *made);
        } else if (name.text == "TYPEDEF_AXIS") {
            if (auto made = read_axis_points(cursor_, name)) named(module_.object_types, name, made->name, *made);
        } else if (name.text == "TYPEDEF_MEASUREMENT") {
            if (auto made = read_measurement(cursor_, name)) named(module_.measurement_types, name, made->name, *made);
        } else if (name.text == "TYPEDEF_STRUCTURE") {
            if (auto made = read_structure(cursor_, name)) named(module_.structures, name, made->name, *made);
        } else if (name.text == "TYPEDEF_BLOB") {
            module_.other_types.insert(cursor_.peek().text);
            finish(cursor_);
        } else {
            return false;
        }
        return true;
    }

    bool about_all(const Token& name) {
        if (name.text == "MOD_COMMON") {
            read_common(cursor_, name, module_);
        } else if (name.text == "MOD_PAR") {
            read_par(cursor_, name, module_);
        } else if (name.text == "VARIANT_CODING") {
            read_variants(cursor_, module_);
        } else {
            return false;
        }
        return true;
    }

    template <class T>
    void in_order(std::deque<T>& into, T& made) {
        made.sequence = module_.objects.size() + module_.instances.size();
        into.push_back(std::move(made));
    }

    template <class T>
    void named(Named<T>& into, const Token& block, const Token& name, T& value) {
        const Token at = name;
        keep(cursor_, into, block.text, at, std::move(value), at);
    }

    void unknown(const Token& name) {
        if (met_.unknown.size() >= kUnknownKinds && !met_.unknown.contains(name.text)) return;
        Met::Unknown& unknown = met_.unknown[std::string(name.text)];
        if (unknown.times++ == 0) unknown.first = cursor_.place(name);
    }

    Cursor& cursor_;
    Met& met_;
    RawModule& module_;
};

void read_project(Cursor& cursor, Met& met, std::deque<RawModule>& modules) {
    Fields(cursor, "PROJECT").name();
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) return;
        if (item.what != What::block) continue;
        const bool too_many = item.at.text == "MODULE" && modules.size() >= kMostModules;
        if (too_many) cursor.problems().note(cursor.place(item.at), fmt::format("more than {} modules", kMostModules));
        if (too_many || item.at.text != "MODULE") {
            cursor.skip(item.at);
            continue;
        }
        cursor.open(item.at);
        RawModule& module = modules.emplace_back();
        module.name = Fields(cursor, "MODULE").name();
        ModuleReader(cursor, met, module).read();
    }
}

}  // namespace

void read_common(Cursor& cursor, const Token& block, RawModule& module) {
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) return;
        if (item.what == What::block) cursor.skip(item.at);
        if (item.what != What::word) continue;
        Fields fields(cursor, block.text, item.at.text);
        if (item.at.text == "BYTE_ORDER") module.order = read_order(fields);
        if (item.at.text == "DEPOSIT") module.differences = read_deposit(fields);
        if (!aligned_types(item.at.text).empty()) read_alignment(fields, item.at.text, module.alignments);
    }
}

std::deque<RawModule> read_modules(Cursor& cursor, Met& met) {
    std::deque<RawModule> modules;
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) return modules;
        if (item.what != What::block) continue;
        if (item.at.text == "PROJECT") {
            met.project = true;
            cursor.open(item.at);
            read_project(cursor, met, modules);
        } else {
            cursor.skip(item.at);
        }
    }
}

}  // namespace revwright::a2l
