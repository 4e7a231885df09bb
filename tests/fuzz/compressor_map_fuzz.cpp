// Any bytes may be refused; none may crash or hang. A map that was read keeps its promises, wherever it is asked.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "formats/compressor_map/reader.h"
#include "physics/compressor.h"

namespace {

void require(bool promise) {
    if (!promise) __builtin_trap();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto map = revwright::compressor_csv::read({reinterpret_cast<const char*>(data), size}, "fuzz.csv");
    if (!map) {
        require(!map.error().what.empty() && map.error().place.has_value());
        return 0;
    }
    const auto lines = map->lines();
    require(lines.size() >= 2);
    for (std::size_t l = 0; l < lines.size(); ++l) {
        require(lines[l].points.size() >= 2 && (l == 0 || lines[l].speed_rpm > lines[l - 1].speed_rpm));
        for (const auto& point : lines[l].points) {
            const auto place = revwright::place_in(*map, {point.flow_kg_s}, point.ratio);
            require(place.map_speed_rpm >= lines.front().speed_rpm && place.map_speed_rpm <= lines.back().speed_rpm);
            require(place.efficiency > 0.0 && place.efficiency <= 1.0 && place.choke_flow_kg_s > 0.0);
            require(std::isfinite(revwright::surge_margin(*map, {point.flow_kg_s}, point.ratio)));
        }
    }
    return 0;
}
