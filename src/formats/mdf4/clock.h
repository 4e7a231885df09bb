#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "model/log.h"

namespace revwright::mdf4 {

/// Which records of a group count: those whose time rises. A record without a time, or whose time does not rise, is
/// left out of the group, and counted.
struct RisingTimes {
    std::vector<std::size_t> kept = {};  // empty where all count
    bool all = true;
    std::vector<QualityNote> notes = {};  // at most one of each kind
    std::size_t without_time = 0;
};

/// `label`: "group 2", for the notes. Records count from 1 there.
RisingTimes rising_times(std::span<const double> seconds, const std::string& label);

/// Keeps the records that count. Precondition: `kept` comes from as many records.
void keep(std::vector<double>& values, const RisingTimes& times);

}  // namespace revwright::mdf4
