#include "app/technician_card.h"

#include <algorithm>
#include <fmt/format.h>

#include "app/card_parts.h"
#include "app/files.h"
#include "app/job_description.h"
#include "image/checksum.h"
#include "report/card_html.h"
#include "review/speed_limiter.h"
#include "wire/revision_record.h"

namespace revwright::app {
namespace {

void count_cell(std::vector<CardTable>& tables, const std::string& name, std::size_t cells = 1) {
    const auto known = std::ranges::find(tables, name, &CardTable::table);
    if (known == tables.end())
        tables.push_back({name, cells});
    else
        known->cells += cells;
}

/// The record the build left beside the image, if it did.
Result<void> add_record(TechnicianCard& card, const Path& image) {
    const Path file = image.string() + ".json";
    std::error_code error;
    if (!std::filesystem::exists(file, error)) return {};
    const auto text = read_text(file);
    if (!text) return tl::unexpected(text.error());
    const auto record = wire::read_record(*text, file.string());
    if (!record) return tl::unexpected(record.error());
    if (record->own != card.image.digest) {
        card.in_the_way.push_back(fmt::format("{} is the record of another image ({}...): one of the two was changed.",
                                              file.filename().string(), to_hex(record->own).substr(0, 12)));
        return {};
    }
    card.image.parent = record->parent;
    for (const wire::RevisionRecord::Cell& cell : record->cells) {
        count_cell(card.image.since_parent, cell.table);
        if (!cell.by.empty() && std::ranges::find(card.image.approved_by, cell.by) == card.image.approved_by.end())
            card.image.approved_by.push_back(cell.by);
    }
    return {};
}

/// What separates the image from the standard one, and whether its checksums hold.
Result<void> add_differences(TechnicianCard& card, const OpenJob& job, const Image& image) {
    const auto compared = compare_in(job, *job.standard, image);
    if (!compared) return tl::unexpected(compared.error());
    for (const TableDifference& table : compared->tables)
        count_cell(card.image.since_standard, table.name(), table.cells.size());
    for (const ChecksumState& checksum : compared->checksums_b)
        if (!checksum.ok())
            card.in_the_way.push_back(fmt::format(
                "The checksum stored at {:#x} is {:#x}, its bytes give {:#x}: the image is damaged or was not settled.",
                checksum.store, checksum.found, checksum.expected));
    std::uint64_t bytes = 0;
    for (const ByteRange& range : compared->outside) bytes += range.length;
    if (bytes > 0)
        card.in_the_way.push_back(fmt::format(
            "{} {} from the standard image outside every table, from {:#x} on: this may be another car's image.", bytes,
            bytes == 1 ? "byte differs" : "bytes differ", compared->outside.front().address));
    return {};
}

void add_tyre(TechnicianCard& card, const JobSheet& job) {
    const PullEnd end = pull_end(job);
    const auto allowed = tyre_speed_km_h(job.car.tyre);
    if (allowed && end.road_speed_km_h > *allowed)
        card.in_the_way.push_back(
            fmt::format("The pull would reach {:.0f} km/h; the tyres' speed symbol {} allows {:.0f} km/h.",
                        end.road_speed_km_h, job.car.tyre.speed_symbol, *allowed));
}

/// A [[run]] entry to complete. What must not be guessed has room for a pen, and is a comment until it is filled in.
std::string run_entry_of(const Image& image, const JobSheet& job) {
    std::string entry = fmt::format("[[run]]\nlog = \"run-{}.csv\"\nimage_sha256 = \"{}\"\n",
                                    Path(image.file).stem().string(), to_hex(image.digest));
    const auto open = [&](std::string_view key, std::string_view what) {
        entry += fmt::format("# {:<20} =                     # {}\n", key, what);
    };
    open("place", "\"road\", \"inertia-dyno\" or \"brake-dyno\"");
    open("direction", "any word; equal words mean the same way");
    open("slope_pct", "positive uphill as driven");
    open("occupants_kg", "everyone in the car, and ballast");
    open("ambient_temp_c", "in the shade where it is driven");
    open("ambient_pressure_kpa", "not reduced to sea level");
    open("humidity_pct", "relative");
    open("fuel_batch", "pump or delivery, and the date");
    open("ron", fmt::format("as bought; {:g} was agreed", job.fuel.ron));
    return entry;
}

}  // namespace

Result<TechnicianCard> technician_card(const Path& job_file, const Path& image_file) {
    const auto job = open_job_with_image(job_file);
    if (!job) return tl::unexpected(job.error());
    const auto image = open_image_of(*job, image_file);
    if (!image) return tl::unexpected(image.error());
    if (image->bytes.size() != job->standard->bytes.size())
        return refuse(fmt::format("is {} bytes long, {} expected: the image is not one of this job",
                                  image->bytes.size(), job->standard->bytes.size()),
                      Place{image_file.string()});
    TechnicianCard card{.job_id = job->sheet.id, .title = job->sheet.title, .job_file = job_file.filename().string()};
    card.image = {.file = image_file.filename().string(),
                  .bytes = image->bytes.size(),
                  .digest = image->digest,
                  .standard = image->digest == job->standard->digest};
    if (auto added = add_differences(card, *job, *image); !added) return tl::unexpected(added.error());
    if (auto added = add_record(card, image_file); !added) return tl::unexpected(added.error());
    add_tyre(card, job->sheet);
    card.before = card_before(job->sheet);
    card.adaptations = card_adaptations(job->sheet);
    card.channels = card_channels(job->sheet);
    card.place = card_place(job->sheet);
    card.order = card_order(job->sheet);
    card.lift = card_lift(job->sheet);
    card.invalid = card_invalid();
    card.bring_back = "the log file as the logger wrote it, and this entry for " + card.job_file + " filled in";
    card.run_entry = run_entry_of(*image, job->sheet);
    return card;
}

Result<void> write_card(const TechnicianCard& card, const Path& file, std::span<const Path> sources) {
    if (auto kept = keep_sources(file, sources); !kept) return kept;
    return write_file(file, std::string_view(report::card_html(card)));
}

}  // namespace revwright::app
