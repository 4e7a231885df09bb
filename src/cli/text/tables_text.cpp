#include "cli/text/tables_text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "cli/text/layout.h"

namespace revwright::cli::text {
namespace {

/// Decimals that show every count of the table: as many as its factor has, at most four.
int decimals_for(const Coding& coding) {
    if (coding.type == RawType::f32) return 3;
    for (int decimals = 0; decimals < 4; ++decimals) {
        const double scaled = coding.factor * std::pow(10.0, decimals);
        if (std::abs(scaled - std::round(scaled)) < 1e-9 * std::max(1.0, std::abs(scaled))) return decimals;
    }
    return 4;
}

std::string heading(const Table& table) {
    const std::string_view unit = info(table.description.quantity.signal).unit;
    std::string text = fmt::format("{}: {}{}", table.name(), to_string(table.description.quantity),
                                   unit == "1" ? std::string() : fmt::format(" ({})", unit));
    for (std::size_t d = 0; d < table.axes.size(); ++d)
        text += fmt::format("{} {}", d == 0 ? " over" : ", then", to_string(table.axes[d].quantity()));
    if (!table.description.writable) text += fmt::format(" [not writable: {}]", table.description.why_not);
    return text + "\n";
}

std::string sheet(const Table& table) {
    const int decimals = decimals_for(table.description.coding);
    if (table.axes.empty()) return fmt::format("  {}\n", fixed(table.values[0], decimals));
    std::vector<std::string> head{""};
    const std::size_t columns = table.axes.size() == 2 ? table.axes[1].size() : 1;
    for (std::size_t j = 0; j < columns; ++j)
        head.push_back(table.axes.size() == 2 ? fmt::format("{:g}", table.axes[1].points()[j]) : "");
    Columns lines(head);
    for (std::size_t i = 0; i < table.axes[0].size(); ++i) {
        std::vector<std::string> row{fmt::format("{:g}", table.axes[0].points()[i])};
        for (std::size_t j = 0; j < columns; ++j) row.push_back(fixed(table.values[i * columns + j], decimals));
        lines.add(std::move(row));
    }
    return lines.print(2);
}

}  // namespace

std::string tables_text(const TableSet& tables, const std::string& only) {
    std::string text = fmt::format("image {}\n", to_hex(tables.image).substr(0, 12));
    for (const Table& table : tables.tables)
        if (only.empty() || table.name() == only) text += "\n" + heading(table) + sheet(table);
    return text;
}

}  // namespace revwright::cli::text
