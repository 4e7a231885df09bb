#include "wire/proposal_json.h"

#include "wire/json.h"

namespace revwright::wire {
namespace {

Json cell_json(const ProposedCell& cell) {
    return {{"at", cell.at},
            {"from", number(cell.from)},
            {"to", number(cell.to)},
            {"bound", to_string(cell.bound)},
            {"evidence",
             {{"pulls", number(cell.evidence.pulls)},
              {"events", number(cell.evidence.events)},
              {"knock_rate_upper", number(cell.evidence.knock_rate_upper)}}},
            {"text", cell.text}};
}

Json table_json(const ProposedTable& table) {
    Json cells = Json::array();
    for (const ProposedCell& cell : table.cells) cells.push_back(cell_json(cell));
    return {{"role", to_string(table.role)},
            {"table", table.table},
            {"unit", table.unit},
            {"axes", axes_json(table.axes)},
            {"cells", std::move(cells)}};
}

}  // namespace

std::string proposal_json(const Proposal& proposal) {
    Json tables = Json::array();
    for (const ProposedTable& table : proposal.tables) tables.push_back(table_json(table));
    Json refused = Json::array();
    for (const ProposalRefusal& refusal : proposal.refused)
        refused.push_back({{"role", refusal.role}, {"reason", refusal.reason}});
    Json approvals = Json::array();
    for (const Approval& approval : proposal.approvals)
        approvals.push_back({{"role", to_string(approval.role)},
                             {"table", approval.table},
                             {"at", approval.at},
                             {"by", approval.by},
                             {"at_utc", approval.at_utc}});
    return print({{"schema", "revwright.proposal/1"},
                  {"parent_sha256", to_hex(proposal.parent)},
                  {"tables", std::move(tables)},
                  {"predicted", Json::object()},  // nothing is predicted without a model fitted to this car
                  {"refused", std::move(refused)},
                  {"approvals", std::move(approvals)}});
}

}  // namespace revwright::wire
