#pragma once

#include <string>
#include <vector>

#include "model/log.h"

namespace revwright::csv {

struct WriteOptions {
    /// Digits behind the decimal point, one per channel; negative, or a channel beyond the list: as many as bring the
    /// same number back when it is read.
    std::vector<int> decimals = {};
};

/// The log as comma-separated text that read() takes: "time_s" first, then each channel under its canonical name, or
/// its own with the unit in brackets where it is none of ours. Time bases are merged by rising time; a channel is blank
/// where it has no sample.
std::string write(const Log& log, const WriteOptions& options = {});

}  // namespace revwright::csv
