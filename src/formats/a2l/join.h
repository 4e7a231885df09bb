#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "formats/a2l/conversions.h"

namespace revwright::a2l {

/// A parameter with the names it uses followed, and what is needed to compare and copy it.
struct Joined {
    ParameterDescription parameter = {};
    std::string_view written = {};  // the whole block, empty for a component of an INSTANCE
    std::size_t bytes = 0;          // what it takes in all
};

/// Follows the names in one module: layouts, conversions, the order of bytes.
class ModuleJoin {
public:
    ModuleJoin(const Cursor& cursor, RawModule& module, ParameterSet& set, Budget& budget);

    Joined join(RawObject object);
    Conversions& conversions() { return conversions_; }
    /// The size of one number, where all the layout holds is one number; else 0.
    std::size_t size_of_value(const Token& layout);
    const Cursor& cursor() const { return cursor_; }
    RawModule& module() { return module_; }
    Budget& budget() { return budget_; }

private:
    /// What a parameter must know of its layout.
    struct Layout {
        std::string key = {};    // in ParameterSet::layouts
        std::string doubt = {};  // why what it is used for is not written
        bool wide = false;       // holds numbers of more than a byte
        bool computes_axis = false;
        const RecordLayout* layout = nullptr;
    };
    void add_layouts(ParameterSet& set);
    const Layout* layout_of(const RawObject& object, ParameterDescription& made);
    ByteOrder order(OrderWord own, bool wide, std::string& why_not) const;
    void set_size(const RawObject& object, ParameterDescription& made) const;
    ParameterAxis axis(RawAxis& raw, const RawObject& object, const Layout* layout, Joined& joined);
    void fix_points(RawAxis& raw, std::size_t which, const Layout* layout, Joined& joined);
    void check_module(const RawObject& object, ParameterDescription& made) const;

    const Cursor& cursor_;
    RawModule& module_;
    Budget& budget_;
    Conversions conversions_;
    std::unordered_map<std::string_view, Layout> layouts_ = {};
};

/// " (engine.a2l:12:3)", to stand behind a name.
std::string in_brackets(const Place& place);

}  // namespace revwright::a2l
