#include "cli/text/parameters_text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "cli/text/layout.h"
#include "wire/tables_json.h"

namespace revwright::cli::text {
namespace {

constexpr std::size_t kMostLines = 200;  // more is for --json or --table

bool unreadable(const ReadParameter& read) { return !read.has_values() && read.raw.empty(); }

std::string unit_of(const std::string& unit) { return unit == "1" ? std::string() : unit; }

std::string cell_text(const ReadParameter& read, std::size_t flat) {
    if (!read.words.empty()) return read.words[flat].value_or(fmt::format("({:.10g})", read.raw[flat]));
    if (!read.values.empty()) return std::isfinite(read.values[flat]) ? fmt::format("{:.6g}", read.values[flat]) : "-";
    return fmt::format("{:.10g}", read.raw[flat]);
}

std::string point_text(const ReadAxis& axis, std::size_t i) {
    if (!axis.words.empty()) return axis.words[i];
    return axis.values.size() == axis.size() ? fmt::format("{:.6g}", axis.values[i]) : fmt::format("[{}]", i);
}

std::string what(const ReadParameter& read) {
    std::string text = read.quantity ? to_string(*read.quantity) : "";
    if (const std::string unit = unit_of(read.unit); !unit.empty())
        text += text.empty() ? unit : fmt::format(" ({})", unit);
    return text.empty() ? "-" : text;
}

std::string over(const ReadParameter& read) {
    std::string text;
    for (const ReadAxis& axis : read.axes) {
        std::string name = axis.quantity ? to_string(*axis.quantity) : axis.input;
        if (name.empty()) name = "no input";
        if (!axis.quantity && !axis.unit.empty()) name += fmt::format(" ({})", axis.unit);
        text += (text.empty() ? "over " : ", then ") + name;
    }
    return text;
}

std::string sheet(const ReadParameter& read) {
    if (read.text) return fmt::format("  \"{}\"\n", *read.text);
    if (read.shape.empty()) return fmt::format("  {}\n", cell_text(read, 0));
    // Further dimensions run on to the right: a cuboid's sheets stand side by side, in the order of their indices.
    std::size_t columns = 1;
    for (std::size_t d = 1; d < read.shape.size(); ++d) columns *= read.shape[d];
    const bool named = read.axes.size() == read.shape.size();
    std::vector<std::string> head{""};
    for (std::size_t j = 0; j < columns; ++j)
        head.push_back(named && read.axes.size() == 2 ? point_text(read.axes[1], j)
                       : columns > 1                  ? fmt::format("[{}]", j)
                                                      : "");
    Columns lines(head);
    for (std::size_t i = 0; i < read.shape[0]; ++i) {
        std::vector<std::string> row{named ? point_text(read.axes[0], i) : fmt::format("[{}]", i)};
        for (std::size_t j = 0; j < columns; ++j) row.push_back(cell_text(read, i * columns + j));
        lines.add(std::move(row));
    }
    return lines.print(2);
}

std::string whole(const ReadParameter& read) {
    std::string text = fmt::format("\n{}: {} {}", read.name, what(read), over(read));
    while (text.back() == ' ') text.pop_back();
    if (!read.writable) text += fmt::format(" [not writable: {}]", read.why_not);
    return text + "\n" + (unreadable(read) ? std::string() : sheet(read));
}

std::string summary(const ParameterReading& reading) {
    const auto how_many = [&](auto test) { return std::ranges::count_if(reading.parameters, test); };
    return fmt::format(
        "{}: {} writable, {} read only, {} not readable in this image\n", count(reading.parameters.size(), "parameter"),
        how_many([](const ReadParameter& read) { return read.writable; }),
        how_many([](const ReadParameter& read) { return !read.writable && !unreadable(read); }), how_many(unreadable));
}

std::string shape_text(const ReadParameter& read) {
    if (read.text) return "text";
    return read.shape.empty() ? "value" : fmt::format("{}", fmt::join(read.shape, " x "));
}

std::vector<std::string> line(const ReadParameter& read, const ImageEntry& entry) {
    std::string roles;
    for (const Role role : wire::roles_of(entry, read.name)) {
        roles += roles.empty() ? "" : ", ";
        roles += to_string(role);
    }
    const std::string held = read.text ? *read.text : read.shape.empty() && !unreadable(read) ? cell_text(read, 0) : "";
    return {read.name, roles, shape_text(read), held, what(read), read.writable ? "" : read.why_not};
}

}  // namespace

std::string parameters_text(const ParameterReading& reading, const ImageEntry& entry, const std::string& only) {
    std::string text = fmt::format("image {}\n", to_hex(reading.image).substr(0, 12));
    if (!only.empty()) {
        for (const ReadParameter& read : reading.parameters)
            if (read.name == only) text += whole(read);
        return text;
    }
    text += summary(reading);
    std::vector<const ReadParameter*> order;
    for (const ReadParameter& read : reading.parameters) order.push_back(&read);
    std::ranges::stable_partition(
        order, [&](const ReadParameter* read) { return !wire::roles_of(entry, read->name).empty(); });
    Columns lines({"name", "role", "size", "value", "holds", "not writable, because"});
    for (std::size_t i = 0; i < std::min(order.size(), kMostLines); ++i) lines.add(line(*order[i], entry));
    text += "\n" + lines.print(2);
    if (order.size() > kMostLines)
        text += fmt::format("  and {} more: --table NAME shows one, --json all of them\n", order.size() - kMostLines);
    return text;
}

}  // namespace revwright::cli::text
