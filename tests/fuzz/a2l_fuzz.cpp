// Any bytes may be refused; none may crash or hang. A description that was read keeps its promises.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <set>
#include <string>
#include <string_view>

#include "formats/a2l/reader.h"

namespace {

using namespace revwright;

void require(bool promise) {
    if (!promise) __builtin_trap();
}

void check(const Conversion& conversion) {
    if (const auto* line = std::get_if<LinearConversion>(&conversion))
        require(std::isfinite(line->factor) && std::isfinite(line->offset) && line->factor != 0.0);
    if (const auto* table = std::get_if<TableConversion>(&conversion))
        require(!table->counts.empty() && table->counts.size() == table->values.size());
    if (const auto* form = std::get_if<FormulaConversion>(&conversion)) require(form->expression.inputs() == 1);
    if (const auto* unknown = std::get_if<UnknownConversion>(&conversion)) require(!unknown->why.empty());
}

void check(const ParameterSet& set) {
    std::set<std::string_view> names;
    for (const ParameterDescription& parameter : set.parameters) {
        require(!parameter.name.empty() && names.insert(parameter.name).second && parameter.place.line > 0);
        require(parameter.in_memory || !parameter.why_not.empty());
        require(set.layouts.contains(parameter.layout) || !parameter.why_not.empty());
        require(parameter.axes.size() <= 5);
        double cells = 1.0;
        for (const std::size_t n : parameter.dimensions) cells *= static_cast<double>(n);
        require(cells >= 1.0 && cells <= 4294967296.0);
        check(parameter.conversion);
        for (const ParameterAxis& axis : parameter.axes) {
            check(axis.conversion);
            for (const double count : axis.fixed_counts) require(std::isfinite(count));
        }
    }
    for (const auto& [name, layout] : set.layouts) {
        require(!layout.items.empty() || !layout.why_not.empty());
        for (std::size_t i = 1; i < layout.items.size(); ++i)
            require(layout.items[i - 1].position <= layout.items[i].position);
    }
}

}  // namespace

// What stands behind the first zero byte is a file that can be included as "b.a2l".
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view all(reinterpret_cast<const char*>(data), size);
    const std::size_t zero = size > 4 && data[1] != 0 ? all.find('\0') : std::string_view::npos;
    const std::string_view text = all.substr(0, zero);
    const std::string second(zero == std::string_view::npos ? std::string_view() : all.substr(zero + 1));
    const auto set = a2l::read(text, "fuzz.a2l", [&](const std::string& path) -> Result<std::string> {
        require(!path.empty() && path.front() != '/' && !path.starts_with("../") &&
                path.find("/../") == std::string::npos);
        if (path == "b.a2l") return second;
        return fail(Fault::not_found, "there is no such file");
    });
    if (!set) {
        require(!set.error().what.empty() && set.error().place.has_value());
        return 0;
    }
    require(set->notes.size() <= 80);
    check(*set);
    return 0;
}
