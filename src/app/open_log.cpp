#include "app/open_log.h"

#include <fmt/format.h>
#include <system_error>

#include "app/channel_sheets.h"
#include "app/crew.h"
#include "app/mapped_file.h"
#include "formats/csv/reader.h"
#include "formats/mdf4/reader.h"
#include "naming/naming.h"
#include "physics/air.h"
#include "physics/fuel.h"
#include "review/channel_health.h"

namespace revwright::app {
namespace {

using Path = std::filesystem::path;

bool is_folder(const Path& path) {
    std::error_code error;
    return std::filesystem::is_directory(path, error);
}

/// The sheet to name this log by; nothing where none is given and none fits.
Result<std::optional<ChannelSheet>> sheet_for(Log& log, const LogOpening& opening) {
    if (opening.channels && !is_folder(*opening.channels)) {
        auto sheet = open_channel_sheet(*opening.channels);
        if (!sheet) return tl::unexpected(sheet.error());
        return std::optional(std::move(*sheet));
    }
    if (opening.channels) return fitting_channel_sheet(*opening.channels, log);
    if (opening.job_folder && is_folder(*opening.job_folder / "channels"))
        return fitting_channel_sheet(*opening.job_folder / "channels", log);
    return std::optional<ChannelSheet>();
}

/// The log as its file has it. Which format it is, the first bytes say, never the file's name. The file is no longer
/// mapped when this returns.
Result<Log> read_log(const Path& file) {
    const auto mapped = MappedFile::open(file);
    if (!mapped) return tl::unexpected(mapped.error());
    Crew crew(Crew::count_for(mapped->bytes().size()));
    auto log = mdf4::looks_like(mapped->bytes()) ? mdf4::read(mapped->bytes(), file.string(), crew.workers())
                                                 : csv::read(mapped->text(), file.string(), crew.workers());
    // Said before anything the reader complains of: half of a file may read as anything.
    if (const auto same = mapped->unchanged(); !same) return tl::unexpected(same.error());
    return log;
}

}  // namespace

Result<Log> open_log(const Path& file, const LogOpening& opening) {
    auto log = read_log(file);
    if (!log) return log;
    const auto sheet = sheet_for(*log, opening);
    if (!sheet) return tl::unexpected(sheet.error());
    auto named = name_channels(std::move(*log), *sheet ? &**sheet : nullptr, opening.hints);
    if (!named) return named;
    if (*sheet) named->named_by = (*sheet)->file;
    return examine_channels(std::move(*named));
}

NamingHints naming_hints(const JobSheet& job, const RunEntry* run) {
    NamingHints hints;
    hints.air_fuel_stoichiometric = fuel_properties(job.fuel.ethanol_fraction).stoichiometric_air_fuel_ratio;
    if (run != nullptr && run->ambient_pressure_kpa) {
        hints.ambient_pressure_kpa = run->ambient_pressure_kpa;
        hints.ambient_source = "the job states for this run";
    } else if (job.site.altitude_m != 0.0) {
        if (const auto air = standard_atmosphere(GeometricAltitude{Length{job.site.altitude_m}})) {
            hints.ambient_pressure_kpa = air->pressure.value.si / 1000.0;
            hints.ambient_source = fmt::format("in the standard atmosphere at {:.0f} m", job.site.altitude_m);
        }
    }
    for (const double ratio : job.car.gear_ratios)
        if (job.car.rolling_circumference_m > 0.0)
            hints.rpm_per_km_h.push_back(ratio * job.car.final_drive / (0.06 * job.car.rolling_circumference_m));
    return hints;
}

}  // namespace revwright::app
