// Any bytes may be refused; none may crash, hang or read past the end. A job that was read keeps its promises.
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "formats/sheets/job.h"

namespace {

void require(bool promise) {
    if (!promise) __builtin_trap();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    const auto job = revwright::sheets::read_job(text, "fuzz.toml");
    if (!job) {
        require(!job.error().what.empty() && job.error().place.has_value());
        return 0;
    }
    require(job->car.mass_kg >= 300.0 && !job->car.gear_ratios.empty() && job->car.rolling_circumference_m > 0.0);
    require(job->engine.cylinders > 0 && job->engine.displacement_cm3 > 0.0);
    for (const auto& run : job->runs) require(run.image.empty() == run.image_sha256.has_value());
    return 0;
}
