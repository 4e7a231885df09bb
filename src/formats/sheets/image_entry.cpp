#include <fmt/format.h>

#include "formats/sheets/job_sections.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

constexpr std::array<Word<ImageFormat>, 3> kFormats{{
    {"binary", ImageFormat::binary},
    {"ihex", ImageFormat::ihex},
    {"srec", ImageFormat::srec},
}};
constexpr std::int64_t kTopAddress = 0xFFFFFFFF;
// Far above any real job: keys are looked up one by one.
constexpr std::size_t kMostQuantities = 4096, kMostTablesOfARole = 64;

std::vector<Role> roles_of(bool gearbox) {
    std::vector<Role> roles;
    for (int i = 0; i <= static_cast<int>(Role::shift_time); ++i)
        if (const Role role = static_cast<Role>(i); is_gearbox(role) == gearbox) roles.push_back(role);
    return roles;
}

std::vector<RoleTable> read_role(std::span<const Node> nodes, const std::string& path, Trouble& trouble) {
    std::vector<RoleTable> tables;
    if (nodes.size() > kMostTablesOfARole) {
        trouble.report(nodes.front().at,
                       fmt::format("{} must name {} tables at most, found {}", path, kMostTablesOfARole, nodes.size()));
        return tables;
    }
    for (const Node& node : nodes) {
        Fields fields(node, path, trouble);
        RoleTable entry{.table = fields.need_text("table"),
                        .when = fields.text("when").value_or(""),
                        .where = trouble.place(node.at)};
        fields.finish();
        for (const RoleTable& earlier : tables)
            if (earlier.table == entry.table)
                fields.report("table", fmt::format("names {} twice", quoted(entry.table)));
        tables.push_back(std::move(entry));
    }
    return tables;
}

/// A role of the other control unit is no misspelling: it stands in the wrong section.
void check_control_unit(const Node& node, const std::string& path, bool gearbox, Trouble& trouble) {
    for (const Node& member : node.items) {
        const auto role = role_named(member.key);
        if (role && is_gearbox(*role) != gearbox)
            trouble.report(member.key_at, fmt::format("{} is a role of the {}, found in {}", member.key,
                                                      gearbox ? "engine's control unit ([image.roles])"
                                                              : "gearbox's control unit ([gearbox_image.roles])",
                                                      path));
    }
}

std::map<Role, std::vector<RoleTable>> read_roles(const Node& node, const std::string& path, bool gearbox,
                                                  Trouble& trouble) {
    check_control_unit(node, path, gearbox, trouble);
    std::map<Role, std::vector<RoleTable>> roles;
    Fields fields(node, path, trouble);
    for (const Role role : roles_of(gearbox)) {
        const std::string_view name = to_string(role);
        if (!fields.take(name)) continue;
        roles[role] = read_role(fields.tables(name), fmt::format("{}.{}", path, name), trouble);
        if (roles[role].empty()) fields.report(name, "must name one table or more, found none");
    }
    fields.finish();
    return roles;
}

std::map<std::string, ChannelKey> read_quantities(const Node& node, const std::string& path, Trouble& trouble) {
    std::map<std::string, ChannelKey> quantities;
    if (node.items.size() > kMostQuantities) {
        trouble.report(node.at,
                       fmt::format("{} must hold {} keys at most, found {}", path, kMostQuantities, node.items.size()));
        return quantities;
    }
    Fields fields(node, path, trouble);
    for (const Node& member : node.items) {
        const auto channel = fields.channel(member.key);
        if (channel) quantities.emplace(member.key, *channel);
    }
    fields.finish();
    return quantities;
}

void read_place_in_memory(Fields& fields, ImageEntry& image, Defaults& defaults) {
    if (!fields.has("format")) defaults.push_back(fmt::format("format of {} taken as binary", fields.path()));
    image.format = fields.choice("format", kFormats).value_or(ImageFormat::binary);
    const bool binary = image.format == ImageFormat::binary;
    if (binary && !fields.has("base_address"))
        defaults.push_back(fmt::format("base address of {} taken as 0", fields.path()));
    image.base_address = static_cast<std::uint64_t>(fields.whole("base_address", 0, kTopAddress).value_or(0));
    if (!binary && image.base_address != 0)
        fields.report("base_address", "belongs to format = \"binary\" only: the other formats carry their addresses");
}

}  // namespace

ImageEntry read_image(const Node& node, std::string_view section, Trouble& trouble, Defaults& defaults) {
    const std::string path(section);
    Fields fields(node, path, trouble);
    ImageEntry image;
    image.file = fields.need_text("file");
    image.description = fields.need_text("description");
    read_place_in_memory(fields, image, defaults);
    if (const Node* roles = fields.table("roles"))
        image.roles = read_roles(*roles, path + ".roles", section == "gearbox_image", trouble);
    if (const Node* quantities = fields.table("quantities"))
        image.quantities = read_quantities(*quantities, path + ".quantities", trouble);
    image.checksums = read_checksums(fields.tables("checksums"), path + ".checksums", trouble);
    fields.finish();
    return image;
}

}  // namespace revwright::sheets
