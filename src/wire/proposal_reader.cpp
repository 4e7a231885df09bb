#include <algorithm>

#include "wire/member.h"
#include "wire/proposal_json.h"

namespace revwright::wire {
namespace {

Role role_of(const Member& member) {
    const auto role = role_named(member.text());
    if (!role) member.refuse_with(fmt::format("\"{}\" is no role", member.text()));
    return *role;
}

CellIndex cell_index(const Member& member) {
    CellIndex at;
    member.each([&](const Member& index) { at.push_back(index.index()); });
    return at;
}

ProposedCell cell_of(const Member& member) {
    const auto bound = bound_named(member["bound"].text());
    if (!bound) member["bound"].refuse_with(fmt::format("\"{}\" is no bound", member["bound"].text()));
    const Member evidence = member["evidence"];
    return {.at = cell_index(member["at"]),
            .from = member["from"].real(),
            .to = member["to"].real(),
            .bound = *bound,
            .evidence = {.pulls = evidence["pulls"].real(),
                         .events = evidence["events"].real(),
                         .knock_rate_upper = evidence["knock_rate_upper"].real()},
            .text = member["text"].text()};
}

Axis axis_of(const Member& member, const std::string& table) {
    const auto quantity = channel_key(member["quantity"].text());
    if (!quantity) member["quantity"].refuse_with("is no canonical channel");
    std::vector<double> points;
    member["values"].each([&](const Member& point) { points.push_back(point.real()); });
    auto axis = Axis::make(table, *quantity, std::move(points));
    if (!axis) throw Wrong{axis.error().what};
    return std::move(*axis);
}

ProposedTable table_of(const Member& member) {
    ProposedTable table{.role = role_of(member["role"]),
                        .table = member["table"].text(),
                        .unit = member.has("unit") ? member["unit"].text() : std::string(),
                        .axes = {},
                        .cells = {}};
    member["axes"].each([&](const Member& axis) { table.axes.push_back(axis_of(axis, table.table)); });
    member["cells"].each([&](const Member& cell) { table.cells.push_back(cell_of(cell)); });
    return table;
}

/// "2026-03-14T09:30:00Z": digits and marks in their places.
bool is_utc_time(std::string_view text) {
    constexpr std::string_view form = "dddd-dd-ddTdd:dd:ddZ";
    return std::ranges::equal(text, form, [](char c, char f) { return f == 'd' ? c >= '0' && c <= '9' : c == f; });
}

Approval approval_of(const Member& member) {
    if (!is_utc_time(member["at_utc"].text()))
        member["at_utc"].refuse_with(
            fmt::format("must be a time such as 2026-03-14T09:30:00Z, found \"{}\"", member["at_utc"].text()));
    return {.role = role_of(member["role"]),
            .table = member["table"].text(),
            .at = cell_index(member["at"]),
            .by = member["by"].text(),
            .at_utc = member["at_utc"].text()};
}

Proposal proposal_of(const Member& root) {
    root.expect_schema("revwright.proposal/1");
    Proposal proposal;
    proposal.parent = root["parent_sha256"].digest();
    root["tables"].each([&](const Member& table) { proposal.tables.push_back(table_of(table)); });
    root["refused"].each(
        [&](const Member& refusal) { proposal.refused.push_back({refusal["role"].text(), refusal["reason"].text()}); });
    root["approvals"].each([&](const Member& approval) { proposal.approvals.push_back(approval_of(approval)); });
    return proposal;
}

}  // namespace

Result<Proposal> read_proposal(std::string_view text, const std::string& file) {
    return read_document<Proposal>(text, file, "proposal", proposal_of);
}

}  // namespace revwright::wire
