#pragma once

#include <optional>
#include <string>
#include <vector>

#include "evidence/boldness.h"
#include "model/evidence.h"
#include "propose/propose.h"

namespace revwright {

/// One cell as the bounds see it.
struct CellSituation {
    std::size_t flat = 0;
    double now = 0.0;
    std::optional<double> standard = {};
    const CellEvidence* seen = nullptr;  // null where no log says anything
    bool visited = false;                // by a run: it has events
    double reach = 0.0;                  // largest part of a full-load reading it makes, now or in the next pull
    double loaded = 0.0;                 // the same, only with the cylinders filled
    std::optional<double> speed_rpm = {};
    bool appears() const { return seen != nullptr || reach > 0.0; }
};

/// One role table with what the bounds need of it. A higher value is the riskier one for all three roles.
struct TableSituation {
    RoleTableRef ref;
    double count = 0.0;  // least change the image can hold, physical
    std::optional<std::size_t> speed_axis = {};
    std::vector<CellSituation> cells = {};
    std::string unit = {};

    const Table& table() const { return *ref.table; }
    Role role() const { return ref.role; }
    /// "0.75 deg"; lambda has no unit.
    std::string amount(double value) const;
};

/// The job as the bounds see it: tables, and what is asked once.
struct Situation {
    const ProposeInput& input;
    std::vector<TableSituation> tables;
    const Finding* stop = nullptr;              // the first one of the parent's runs
    std::optional<double> exhaust_temp_c = {};  // hottest measured before the turbine in the parent's pulls
    std::optional<double> dyno_torque_nm = {};  // least of the peaks of the parent's dynamometer pulls

    const Policy& policy() const { return input.job.policy; }
    double lambda_floor() const { return *input.job.limits.at("lambda_max").watch; }
};

/// Tables that cannot be written are left out; see refused_tables.
Situation situation_of(const ProposeInput& input);

/// Role tables that no proposal can touch, and why.
std::vector<ProposalRefusal> refused_tables(const ProposeInput& input);

/// Whether a finding comes from a run with the parent. A finding that belongs to no log does.
bool of_parent(const ProposeInput& input, const Finding& finding);
/// The log a finding was made in.
std::optional<std::size_t> log_of(const ProposeInput& input, const Finding& finding);

}  // namespace revwright
