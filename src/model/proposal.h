#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/digest.h"
#include "model/role.h"
#include "model/table.h"

namespace revwright {

/// What stopped a cell where it stands.
enum class Bound {
    step,
    evidence,
    knock,
    best_torque,
    cylinder_pressure,
    low_speed,
    temperature,
    torque,
    fuel,
    compressor,
    envelope,
    smoothness,
    table,
    chain,
    finding,
    goal,
};
std::string_view to_string(Bound bound);
std::optional<Bound> bound_named(std::string_view name);

/// What the runs had seen of the cell when the change was proposed.
struct WarrantEvidence {
    double pulls = 0.0;
    double events = 0.0;
    double knock_rate_upper = 1.0;
};

/// One cell's warrant: from, to, what was seen, what bound it, and one sentence. Physical units of the table.
struct ProposedCell {
    CellIndex at;
    double from = 0.0;
    double to = 0.0;
    Bound bound = Bound::step;
    WarrantEvidence evidence = {};
    std::string text;
};

struct ProposedTable {
    Role role = Role::spark;
    std::string table;
    std::string unit;
    std::vector<Axis> axes;
    std::vector<ProposedCell> cells;
};

/// What could not be proposed, and why.
struct ProposalRefusal {
    std::string role;
    std::string reason;
};

struct Approval {
    Role role = Role::spark;
    std::string table;
    CellIndex at;
    std::string by;
    std::string at_utc;  // ISO 8601, given by the shell: the core knows no clock
};

struct Proposal {
    Digest parent = {};
    std::vector<ProposedTable> tables;
    std::vector<ProposalRefusal> refused;
    std::vector<Approval> approvals;
};

}  // namespace revwright
