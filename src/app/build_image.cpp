#include "app/build_image.h"

#include <algorithm>
#include <fmt/format.h>

#include "app/files.h"
#include "app/job_description.h"
#include "image/build.h"
#include "image/file_bytes.h"
#include "image/patch.h"
#include "image/tables_of_parameters.h"
#include "wire/image_json.h"
#include "wire/proposal_json.h"

namespace revwright::app {
namespace {

void approve_every_move(Proposal& proposal, const ApproveAll& approve_all) {
    for (const ProposedTable& table : proposal.tables)
        for (const ProposedCell& cell : table.cells) {
            const bool already = std::ranges::any_of(proposal.approvals, [&](const Approval& approval) {
                return approval.table == table.table && approval.at == cell.at;
            });
            if (cell.to == cell.from || already) continue;
            proposal.approvals.push_back({table.role, table.table, cell.at, approve_all.by, approve_all.at_utc});
        }
}

/// What stands wrong in the proposal is told with the proposal's name, unless the message already has a place.
tl::unexpected<Error> in_file(const Path& file, Error error) {
    if (!error.place) error.place = Place{file.string()};
    return tl::unexpected(std::move(error));
}

Result<void> keep_what_is_read(const OpenJob& job, const std::optional<Path>& image, const Path& document,
                               std::initializer_list<Path> outputs) {
    std::vector<Path> sources = sources_of(job);
    sources.push_back(document);
    if (image) sources.push_back(*image);
    for (const Path& output : outputs)
        if (auto kept = keep_sources(output, sources); !kept) return kept;
    return {};
}

/// An approval of a parameter that the description holds, but that is no table to us, says what is missing.
Result<void> approves_tables(const Proposal& proposal, const Description& description,
                             const ParameterReading& reading) {
    for (const Approval& approval : proposal.approvals) {
        if (description.find(approval.table) != nullptr) continue;
        const std::string why = why_no_table(reading, approval.table);
        if (!why.empty()) return refuse(fmt::format("an approval names {}, which {}", approval.table, why));
    }
    return {};
}

Path record_beside(const Path& image) { return image.string() + ".json"; }

}  // namespace

Result<BuiltImage> build_image(const Path& job_file, const Path& proposal_file, const std::optional<Path>& parent_file,
                               const Path& out, const ApproveAll& approve_all) {
    const auto job = open_job_with_image(job_file);
    if (!job) return tl::unexpected(job.error());
    const auto parent = open_image_of(*job, parent_file);
    if (!parent) return tl::unexpected(parent.error());
    if (const auto kept = keep_what_is_read(*job, parent_file, proposal_file, {out, record_beside(out)}); !kept)
        return tl::unexpected(kept.error());
    const auto text = read_text(proposal_file);
    if (!text) return tl::unexpected(text.error());
    auto proposal = wire::read_proposal(*text, proposal_file.string());
    if (!proposal) return tl::unexpected(proposal.error());
    if (!approve_all.by.empty()) approve_every_move(*proposal, approve_all);

    const auto description = description_of(*job, *parent);
    if (!description) return tl::unexpected(description.error());
    std::vector<NamedBytes> others;
    if (job->parameters) {
        const ImageParameters parameters = parameters_of(*job, *parent);
        if (const auto tables = approves_tables(*proposal, *description, parameters.reading); !tables)
            return in_file(proposal_file, tables.error());
        others = bytes_of_parameters(job->parameters->set, parameters.places);
    }
    auto built = build(*parent, *description, job->sheet.image->checksums, *proposal, others);
    if (!built) return in_file(proposal_file, built.error());
    if (const auto written = write_file(out, file_bytes(built->image)); !written)
        return tl::unexpected(written.error());
    const auto written = write_file(record_beside(out), wire::revision_json(*built));
    if (!written) {
        std::error_code ignored;  // the image without its record would be an image nobody can trace
        std::filesystem::remove(out, ignored);
        return tl::unexpected(written.error());
    }
    return built;
}

Result<Image> undo_image(const Path& job_file, const Path& image_file, const Path& record, const Path& out) {
    const auto job = open_job_with_image(job_file);
    if (!job) return tl::unexpected(job.error());
    const auto child = open_image_of(*job, image_file);
    if (!child) return tl::unexpected(child.error());
    if (const auto kept = keep_what_is_read(*job, image_file, record, {out}); !kept)
        return tl::unexpected(kept.error());
    const auto text = read_text(record);
    if (!text) return tl::unexpected(text.error());
    const auto patch = wire::read_patch(*text, record.string());
    if (!patch) return tl::unexpected(patch.error());
    auto parent = undo(*child, *patch);
    if (!parent) return parent;
    if (const auto written = write_file(out, file_bytes(*parent)); !written) return tl::unexpected(written.error());
    return parent;
}

Result<ComparedImages> compare_images(const Path& job_file, const Path& a_file, const Path& b_file) {
    auto job = open_job_with_image(job_file, RolesAre::only_listed);
    if (!job) return tl::unexpected(job.error());
    const auto a = open_image_of(*job, a_file);
    if (!a) return tl::unexpected(a.error());
    const auto b = open_image_of(*job, b_file);
    if (!b) return tl::unexpected(b.error());
    auto comparison = compare_in(*job, *a, *b);
    if (!comparison) return tl::unexpected(comparison.error());
    return ComparedImages{std::move(*job), std::move(*comparison)};
}

bool stands_in_the_way(const Comparison& comparison) {
    const auto broken = [](const ChecksumState& checksum) { return !checksum.ok(); };
    return !comparison.outside.empty() || std::ranges::any_of(comparison.checksums_a, broken) ||
           std::ranges::any_of(comparison.checksums_b, broken);
}

}  // namespace revwright::app
