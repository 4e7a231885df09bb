#include "app/compressor_maps.h"

#include <fmt/format.h>

#include "app/files.h"
#include "formats/compressor_map/reader.h"

namespace revwright::app {

Result<void> load_compressor_maps(OpenJob& job) {
    for (Hardware& part : job.sheet.hardware) {
        if (part.kind != HardwareKind::turbocharger || part.map.empty()) continue;
        const Path file = job.beside(part.map);
        const auto text = read_text(file);
        if (!text)
            return fail(text.error().fault, fmt::format("hardware.map names {}", describe(text.error())),
                        Place{job.sheet.file});
        auto map = compressor_csv::read(*text, file.string());
        if (!map) return tl::unexpected(map.error());
        part.compressor = std::move(*map);
    }
    return {};
}

}  // namespace revwright::app
