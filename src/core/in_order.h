#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>

#include "core/workers.h"

namespace revwright {

/// Items that many may make ready at the same time, and that are taken one by one in their order.
struct InOrder {
    std::size_t items = 0;
    /// How many may be ready or in the making at once; each has a slot of its own meanwhile, from 0 to slots - 1.
    std::size_t slots = 1;
    /// What an item weighs, and how much may lie in the slots at once; one item may always, however heavy.
    std::function<std::uint64_t(std::size_t item)> weight = [](std::size_t) { return std::uint64_t{0}; };
    std::uint64_t most_weight = std::numeric_limits<std::uint64_t>::max();

    std::function<void(std::size_t item, std::size_t slot)> make_ready;
    std::function<bool(std::size_t item, std::size_t slot)> take;  // false: enough
};

/// Whoever is free takes the next item if it is ready and nobody else is taking, else makes another one ready. A worker
/// alone does both by turns and never waits. What is taken, and in which order, does not depend on the workers.
///
/// What a step throws ends the work and comes out of it.
void run_in_order(const InOrder& work, const Workers& workers);

}  // namespace revwright
