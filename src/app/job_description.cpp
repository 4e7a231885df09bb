#include "app/job_description.h"

#include <algorithm>
#include <fmt/format.h>
#include <string>
#include <utility>

#include "app/files.h"
#include "app/parameter_quantities.h"
#include "formats/a2l/reader.h"
#include "formats/sheets/table_sheet.h"
#include "image/check_entry.h"
#include "image/compare.h"
#include "image/compare_parameters.h"
#include "image/read.h"
#include "image/tables_of_parameters.h"

namespace revwright::app {
namespace {

constexpr std::size_t kTextLookedAt = 64 * 1024;  // a comment before the first keyword may be long

/// The first text without zero bytes, so that UTF-16 reads as the ASCII it holds, and without a byte order mark.
std::string beginning(std::string_view text) {
    std::string plain;
    for (const char c : text.substr(0, kTextLookedAt))
        if (c != '\0' && c != '\xEF' && c != '\xBB' && c != '\xBF' && c != '\xFE' && c != '\xFF') plain += c;
    return plain;
}

std::string_view after_blanks_and_comments(std::string_view text) {
    for (;;) {
        const auto word = text.find_first_not_of(" \t\r\n\f\v");
        if (word == std::string_view::npos) return {};
        text.remove_prefix(word);
        const bool line = text.starts_with("//"), block = text.starts_with("/*");
        if (!line && !block) return text;
        const auto end = line ? text.find('\n') : text.find("*/", 2);
        if (end == std::string_view::npos) return {};
        text.remove_prefix(end + (line ? 1 : 2));
    }
}

bool lies_within(const Path& file, const Path& folder) {
    const auto rest = std::mismatch(folder.begin(), folder.end(), file.begin(), file.end());
    return rest.first == folder.end();
}

/// Opens what a description includes: in its own folder, wherever links lead.
class Includes {
public:
    explicit Includes(const Path& description) : description_(description) {}

    Result<std::string> operator()(const std::string& path) {
        std::error_code error;
        const Path folder =
            std::filesystem::weakly_canonical(std::filesystem::absolute(description_).parent_path(), error);
        if (error) return fail(Fault::io, "its folder can not be found", Place{description_.string()});
        const Path file = std::filesystem::weakly_canonical(folder / path, error);
        if (error || !lies_within(file, folder))
            return refuse(fmt::format("includes {}, which leads out of its folder", path),
                          Place{description_.string()});
        auto text = read_text(file);
        if (text) files_.push_back(file);
        return text;
    }

    std::vector<Path> files() const { return files_; }

private:
    Path description_;
    std::vector<Path> files_;
};

Result<std::shared_ptr<const DescribedParameters>> read_parameter_set(const OpenJob& job, const Path& file,
                                                                      std::string_view text) {
    auto described = std::make_shared<DescribedParameters>();
    Includes includes(file);
    auto set = a2l::read(text, file.string(), std::ref(includes));
    if (!set) return tl::unexpected(set.error());
    described->set = std::move(*set);
    described->included = includes.files();
    auto quantities = parameter_quantities(described->set, *job.sheet.image, job.sheet.file);
    if (!quantities) return tl::unexpected(quantities.error());
    described->quantities = std::move(*quantities);
    return described;
}

/// The entry without roles whose tables are described, but not understood whole.
ImageEntry without_open_roles(const ImageEntry& entry, const ParameterSet& set, const Description& description) {
    ImageEntry left = entry;
    for (auto& [role, tables] : left.roles)
        std::erase_if(tables, [&](const RoleTable& tied) {
            return description.find(tied.table) == nullptr &&
                   std::ranges::count(set.parameters, tied.table, &ParameterDescription::name) > 0;
        });
    return left;
}

Result<void> read_a2l(OpenJob& job, const Path& file, std::string_view text, RolesAre roles) {
    auto described = read_parameter_set(job, file, text);
    if (!described) return tl::unexpected(described.error());
    job.parameters = std::move(*described);
    if (auto opened = open_standard(job); !opened) return opened;
    const ImageParameters parameters = parameters_of(job, *job.standard);
    job.description = tables_of_parameters(job.parameters->set, parameters);
    const ImageEntry& entry = *job.sheet.image;
    if (roles == RolesAre::only_listed)
        return check_entry(without_open_roles(entry, job.parameters->set, *job.description), *job.description);
    if (auto tied = check_roles(entry, parameters.reading); !tied) return tied;
    return check_entry(entry, *job.description);
}

}  // namespace

bool is_a2l(std::string_view text) {
    const std::string plain = beginning(text);
    const std::string_view first = after_blanks_and_comments(plain);
    return first.starts_with("ASAP2_VERSION") || first.starts_with("A2ML_VERSION") || first.starts_with("/begin") ||
           first.starts_with("/include");
}

Result<void> read_description(OpenJob& job, const Path& file, std::string_view text, RolesAre roles) {
    if (is_a2l(text)) return read_a2l(job, file, text, roles);
    auto description = sheets::read_table_sheet(text, file.string());
    if (!description) return tl::unexpected(description.error());
    job.description = std::move(*description);
    return check_entry(*job.sheet.image, *job.description);
}

ImageParameters parameters_of(const OpenJob& job, const Image& image) {
    return read_parameters(job.parameters->set, image, job.parameters->quantities);
}

Result<Description> description_of(const OpenJob& job, const Image& image) {
    if (!job.parameters || image.digest == job.standard->digest) return *job.description;
    Description found = tables_of_parameters(job.parameters->set, parameters_of(job, image));
    if (auto same = same_tables(*job.sheet.image, *job.description, found, image); !same)
        return tl::unexpected(same.error());
    return found;
}

Result<TableSet> tables_of(const OpenJob& job, const Image& image) {
    const auto description = description_of(job, image);
    if (!description) return tl::unexpected(description.error());
    return read_tables(*description, image);
}

Result<Comparison> compare_in(const OpenJob& job, const Image& a, const Image& b) {
    const auto& regions = job.sheet.image->checksums;
    if (!job.parameters) return compare(*job.description, regions, a, b);
    return compare_parameters(job.parameters->set, regions, a, parameters_of(job, a), b, parameters_of(job, b));
}

}  // namespace revwright::app
