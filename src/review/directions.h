#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "model/review.h"
#include "review/run_view.h"

namespace revwright {

/// Fills in heading and direction of every pull driven on the road.
///
/// The label of its [[run]] names the way a run was driven. Within a log the heading tells the pulls apart, from
/// heading_deg, or where there is none from the slope that altitude and road speed show: what goes the way of the
/// first pull has the label, what goes the opposite way (within 30 degrees) is "against <label>", anything else
/// "across <label>". Without a label "out" and "back" stand in. Without heading and slope every pull has its run's
/// label.
void name_directions(std::span<RunView> runs);

/// Two pulls over one road in opposite ways, to cancel slope and wind. Indices into the pulls given.
struct OppositePair {
    std::size_t one = 0, other = 0;
};

/// Whether two pulls went opposite ways: by heading where both have one, else by direction: "X" and "against X", "out"
/// and "back" of one log, or the two different labels where `pulls` holds just two.
bool opposite(const Pull& a, const Pull& b, std::span<const Pull> pulls);

/// Pairs of opposite accelerations in the same gear, each pull in one pair at most, those nearest in speed range first.
std::vector<OppositePair> opposite_pairs(std::span<const Pull> pulls);

/// "pulls 1 and 3 were driven the other way than pull 0", one sentence for each log or pair of runs; empty where
/// nothing tells.
std::vector<std::string> direction_notes(std::span<const Pull> pulls);

}  // namespace revwright
