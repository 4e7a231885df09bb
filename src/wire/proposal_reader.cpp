#include <fmt/format.h>

#include "wire/json.h"
#include "wire/proposal_json.h"

namespace revwright::wire {
namespace {

/// Thrown and caught inside this file only: a member is missing or of the wrong kind.
struct Wrong {
    std::string what;
};

/// A JSON value with its path, so that a message can name the member.
class Member {
public:
    Member(const Json& value, std::string path) : value_(value), path_(std::move(path)) {}

    Member operator[](const char* name) const {
        if (!value_.is_object()) throw Wrong{fmt::format("{} must be an object", path_)};
        const auto found = value_.find(name);
        if (found == value_.end()) throw Wrong{fmt::format("{} lacks \"{}\"", path_, name)};
        return {*found, path_ + "." + name};
    }
    template <class F>
    void each(F visit) const {
        if (!value_.is_array()) throw Wrong{fmt::format("{} must be a list", path_)};
        for (std::size_t i = 0; i < value_.size(); ++i) visit(Member(value_[i], fmt::format("{}[{}]", path_, i)));
    }
    double real() const {
        if (!value_.is_number()) throw Wrong{fmt::format("{} must be a number", path_)};
        return value_.get<double>();
    }
    std::size_t index() const {
        if (!value_.is_number_unsigned()) throw Wrong{fmt::format("{} must be a whole number from 0", path_)};
        return value_.get<std::size_t>();
    }
    std::string text() const {
        if (!value_.is_string()) throw Wrong{fmt::format("{} must be a text", path_)};
        return value_.get<std::string>();
    }
    [[noreturn]] void refuse_with(const std::string& what) const { throw Wrong{path_ + " " + what}; }
    bool has(const char* name) const { return value_.is_object() && value_.contains(name); }

private:
    const Json& value_;
    std::string path_;
};

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

Approval approval_of(const Member& member) {
    return {.role = role_of(member["role"]),
            .table = member["table"].text(),
            .at = cell_index(member["at"]),
            .by = member["by"].text(),
            .at_utc = member["at_utc"].text()};
}

Proposal proposal_of(const Member& root) {
    if (root["schema"].text() != "revwright.proposal/1")
        root["schema"].refuse_with(
            fmt::format("must be \"revwright.proposal/1\", found \"{}\"", root["schema"].text()));
    Proposal proposal;
    const auto parent = digest_from_hex(root["parent_sha256"].text());
    if (!parent) root["parent_sha256"].refuse_with("must be 64 hexadecimal digits");
    proposal.parent = *parent;
    root["tables"].each([&](const Member& table) { proposal.tables.push_back(table_of(table)); });
    root["refused"].each(
        [&](const Member& refusal) { proposal.refused.push_back({refusal["role"].text(), refusal["reason"].text()}); });
    root["approvals"].each([&](const Member& approval) { proposal.approvals.push_back(approval_of(approval)); });
    return proposal;
}

}  // namespace

Result<Proposal> read_proposal(std::string_view text, const std::string& file) {
    Json document;
    try {
        document = Json::parse(text);
    } catch (const Json::parse_error& error) {
        return refuse("expected a proposal in JSON, found text that is none", place_of(file, text, error.byte));
    } catch (const Json::exception&) {
        return refuse("expected a proposal in JSON, found a number out of range", Place{file});
    }
    try {
        return proposal_of(Member(document, "proposal"));
    } catch (const Wrong& wrong) {
        return refuse(wrong.what, Place{file});
    }
}

}  // namespace revwright::wire
