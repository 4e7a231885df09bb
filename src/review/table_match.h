#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "model/role.h"
#include "model/table.h"
#include "review/run_view.h"

namespace revwright {

/// A cell whose logged value is not what the table says, in every pull that went through it.
struct OffCell {
    double engine_speed_rpm = 0.0;
    std::optional<double> charge_pct = {};  // or whatever the second axis counts
    double deviation = 0.0;                 // median of logged less table, in the role's unit
    double whole = 0.0;                     // the same, nothing allowed for sampling: what a reader would see
    double time_s = 0.0;                    // of a sample in it
    std::size_t samples = 0;
    std::size_t pulls = 0;
    bool steady = false;  // the same in each of two pulls or more: corrections come and go with heat, an image does not
};

/// How the logged value of one role sits on the tables of an image.
struct RoleMatch {
    Role role = Role::spark;
    std::string table = {};                      // of the variant that fits best
    double tolerance = 0.0;                      // beyond what sampling and resolution explain
    double worst_cell = 0.0;                     // the largest median over a cell, sign kept
    std::size_t cells = 0;                       // visited
    double lowest_rpm = 0.0, highest_rpm = 0.0;  // of the cells visited
    std::vector<OffCell> off = {};               // by engine speed
    bool matches() const { return off.empty(); }
};

/// The channel that shows what a role's table said; nothing for roles without one.
std::optional<Signal> shown_by(Role role);

/// Logged base spark, lambda target and boost target of the pulls held against the tables that play these roles.
///
/// A sample deviates by its distance from what the table says anywhere within one refresh of its axes' channels, less
/// half the channel's resolution. It is matched by any variant of the role, or by one blend of the plain variant with
/// another for a whole pull. A correction that acts at part load as well is taken out. Roles whose channel or axes are
/// not logged are left out, and cells with fewer than four samples.
std::vector<RoleMatch> match_tables(const RunView& run, const TableSet& tables);

/// Whether some role with a channel has a table whose axes are logged; else the first channel that would cure it.
struct Matchable {
    bool yes = false;
    std::string missing = {};
};
Matchable matchable(const RunView& run, const TableSet& tables);

}  // namespace revwright
