// Any bytes may be refused; none may crash, hang or read past the end. A sheet that was read keeps its promises.
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <variant>

#include "formats/sheets/channel_sheet.h"
#include "formats/sheets/table_sheet.h"

namespace {

void require(bool promise) {
    if (!promise) __builtin_trap();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    if (const auto channels = revwright::sheets::read_channel_sheet(text, "fuzz.toml"))
        for (const auto& rule : channels->channels) require(!rule.name.empty() && rule.sign * rule.sign == 1.0);
    const auto sheet = revwright::sheets::read_table_sheet(text, "fuzz.toml");
    if (!sheet) {
        require(!sheet.error().what.empty() && sheet.error().place.has_value());
        return 0;
    }
    for (const auto& table : sheet->tables) {
        require(table.axes.size() == table.shape.size() && table.shape.size() <= 2 && table.coding.factor != 0.0);
        for (std::size_t i = 0; i < table.axes.size(); ++i) {
            require(table.axes[i].size == table.shape[i]);
            if (const auto* fixed = std::get_if<revwright::AxisFixed>(&table.axes[i].source))
                require(fixed->points.size() == table.shape[i]);
        }
    }
    return 0;
}
