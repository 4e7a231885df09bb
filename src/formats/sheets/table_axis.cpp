#include <algorithm>
#include <fmt/format.h>
#include <functional>

#include "formats/sheets/table_parts.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

AxisFixed read_fixed(Fields& fields) {
    AxisFixed fixed{fields.any_numbers("values")};
    const auto bad = std::ranges::adjacent_find(fixed.points, std::not_fn(std::less{}));
    if (bad != fixed.points.end())
        fields.report("values", fmt::format("must rise from point to point, found {} then {}", bad[0], bad[1]));
    return fixed;
}

/// Exactly one of the keys must be there; the message names them all.
bool has_one_source(Fields& fields, std::span<const std::string_view> sources, Trouble& trouble) {
    const auto count = std::ranges::count_if(sources, [&](std::string_view key) { return fields.has(key); });
    if (count == 1) return true;
    std::string names(sources[0]);
    for (const std::string_view key : sources.subspan(1)) names += fmt::format(", {}", key);
    trouble.report(fields.at(), fmt::format("{} needs exactly one of {}, found {}", fields.path(), names,
                                            count == 0 ? "none" : "more"));
    return false;
}

/// address with its coding, or fixed values.
std::variant<AxisInMemory, AxisFixed> read_points(Fields& fields, std::optional<ByteOrder> fallback) {
    if (fields.take("values")) return read_fixed(fields);
    AxisInMemory memory{.address = read_address(fields)};
    memory.coding = read_coding(fields, fallback);
    return memory;
}

void check_point_count(Fields& fields, const AxisDescription& axis, std::string_view words) {
    const auto* fixed = std::get_if<AxisFixed>(&axis.source);
    if (fixed && fixed->points.size() != axis.size)
        fields.report("values",
                      fmt::format("must hold {} points, as {} says, found {}", axis.size, words, fixed->points.size()));
}

AxisDescription read_shared_axis(const Node& node, std::optional<ByteOrder> fallback, Trouble& trouble) {
    Fields fields(node, "axis", trouble);
    AxisDescription axis;
    axis.place = trouble.place(node.at);
    axis.shared = fields.need_text("name");
    axis.size = static_cast<std::size_t>(fields.need_whole("points", 1, kMostPoints));
    axis.quantity = fields.need_channel("quantity");
    constexpr std::array<std::string_view, 2> kSources{"address", "values"};
    if (!has_one_source(fields, kSources, trouble)) return axis;
    axis.source = read_points(fields, fallback);
    fields.finish();
    if (!trouble.found()) check_point_count(fields, axis, "points");
    return axis;
}

/// The shared axis a table names; its quantity may be repeated, not changed.
AxisDescription refer_to_shared(Fields& fields, std::size_t size, const SharedAxes& shared, Trouble& trouble) {
    const std::string name = fields.need_text("shared");
    const auto quantity = fields.channel("quantity");
    fields.finish();
    const auto found = shared.find(name);
    if (found == shared.end()) {
        std::vector<std::string_view> names;
        for (const auto& [known, axis] : shared) names.push_back(known);
        fields.report("shared", fmt::format("must be the name of an [[axis]] of the sheet, found {}{}", quoted(name),
                                            did_you_mean(name, names)));
        return {};
    }
    const AxisDescription& axis = found->second;
    if (quantity && *quantity != axis.quantity)
        fields.report("quantity", fmt::format("must be {} as of axis {}, found {}", to_string(axis.quantity),
                                              quoted(name), to_string(*quantity)));
    if (axis.size != size)
        fields.report("shared", fmt::format("must have {} points, as shape says, found {} with {}", size, quoted(name),
                                            axis.size));
    if (trouble.found()) return {};
    return axis;
}

}  // namespace

SharedAxes read_shared_axes(std::span<const Node> nodes, std::optional<ByteOrder> fallback, Trouble& trouble) {
    SharedAxes axes;
    for (const Node& node : nodes) {
        AxisDescription axis = read_shared_axis(node, fallback, trouble);
        if (trouble.found()) return axes;
        std::string name = axis.shared;
        const auto [earlier, fresh] = axes.emplace(name, std::move(axis));
        if (!fresh)
            trouble.report(node.find("name")->at, fmt::format("axis.name must be unique, found {} again after line {}",
                                                              quoted(name), earlier->second.place.line));
    }
    return axes;
}

AxisDescription read_table_axis(const Node& node, std::size_t size, const SharedAxes& shared,
                                std::optional<ByteOrder> fallback, Trouble& trouble) {
    Fields fields(node, "table.axis", trouble);
    constexpr std::array<std::string_view, 3> kSources{"address", "values", "shared"};
    if (!has_one_source(fields, kSources, trouble)) return {};
    if (fields.has("shared")) {
        AxisDescription axis = refer_to_shared(fields, size, shared, trouble);
        axis.place = trouble.place(node.at);
        return axis;
    }
    AxisDescription axis{.size = size, .place = trouble.place(node.at)};
    axis.quantity = fields.need_channel("quantity");
    axis.source = read_points(fields, fallback);
    // Known words, so that a wrong key beside them is told from them.
    fields.take("shared");
    fields.finish();
    if (!trouble.found()) check_point_count(fields, axis, "shape");
    return axis;
}

}  // namespace revwright::sheets
