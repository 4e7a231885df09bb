#include "cli/text/proposal_text.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>

#include "cli/text/layout.h"

namespace revwright::cli::text {
namespace {

bool moves(const ProposedCell& cell) { return cell.to != cell.from; }

std::string table_text(const ProposedTable& table) {
    std::vector<std::string> head;
    for (const Axis& axis : table.axes) head.emplace_back(to_string(axis.quantity()));
    head.insert(head.end(), {"old", "new", "change", "bound", "events", "pulls"});
    Columns columns(head);
    std::map<Bound, std::size_t> held;
    for (const ProposedCell& cell : table.cells) {
        if (!moves(cell)) {
            ++held[cell.bound];
            continue;
        }
        std::vector<std::string> row;
        for (std::size_t d = 0; d < table.axes.size(); ++d)
            row.push_back(fmt::format("{:g}", table.axes[d].points()[cell.at[d]]));
        const int decimals = std::max(2, decimals_of(table.unit));
        row.insert(row.end(),
                   {fixed(cell.from, decimals), fixed(cell.to, decimals), with_sign(cell.to - cell.from, decimals),
                    std::string(to_string(cell.bound)), fixed(cell.evidence.events, 0), fixed(cell.evidence.pulls, 0)});
        columns.add(std::move(row));
    }
    std::string text = fmt::format("{} ({}, {})\n", table.table, to_string(table.role), table.unit);
    text += columns.empty() ? "  no cell moves\n" : columns.print(2);
    for (const auto& [bound, cells] : held)
        text += fmt::format("  {} held by {}\n", count(cells, "cell"), to_string(bound));
    return text + "\n";
}

}  // namespace

std::string proposal_text(const Proposal& proposal) {
    std::size_t moved = 0;
    for (const ProposedTable& table : proposal.tables)
        moved += static_cast<std::size_t>(std::ranges::count_if(table.cells, moves));
    std::string text =
        fmt::format("{} proposed on image {}\n\n", moved == 0 ? "No change" : count(moved, "changed cell"),
                    to_hex(proposal.parent).substr(0, 12));
    for (const ProposedTable& table : proposal.tables) text += table_text(table);
    if (!proposal.refused.empty()) text += "Refused\n";
    for (const ProposalRefusal& refusal : proposal.refused) text += paragraph(refusal.role + ": " + refusal.reason, 2);
    return text;
}

}  // namespace revwright::cli::text
