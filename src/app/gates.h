#pragma once

#include <span>
#include <string>
#include <vector>

#include "model/driven.h"
#include "model/job.h"
#include "model/review.h"

namespace revwright::app {

/// One condition a revision must meet before it may be signed off, and whether it does.
struct Gate {
    std::string name;
    bool holds = false;
    std::string text;  // one sentence: what was needed, what was found
};

/// The gates that this version can judge, from the review of the final revision's runs alone: enough pulls, no open
/// stop or mend, every required check ran, the image of each run known, the fuel stated.
std::vector<Gate> gates(const JobSheet& job, const Review& review, std::span<const DrivenLog> driven);
bool all_hold(std::span<const Gate> gates);

}  // namespace revwright::app
