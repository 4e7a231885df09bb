#pragma once

#include <string>
#include <vector>

#include "model/card.h"
#include "model/job.h"

namespace revwright::app {

/// The parts of a technician's card that follow from the job sheet alone. Numbers that are no limit of the job are our
/// choices, common practice, no source.

/// What the checks need, required ones first, with the least rate the review asks of each.
std::vector<CardChannel> card_channels(const JobSheet& job);

std::vector<CardLine> card_before(const JobSheet& job);
std::vector<CardLine> card_adaptations(const JobSheet& job);
std::vector<CardLine> card_place(const JobSheet& job);
std::vector<CardLine> card_order(const JobSheet& job);
/// The stop limits of this job that a technician can read while driving.
std::vector<CardLift> card_lift(const JobSheet& job);
std::vector<std::string> card_invalid();

/// Where a pull of the card ends: the speed in rpm, the gear, and the road speed there.
struct PullEnd {
    double engine_speed_rpm = 0.0;
    int gear = 3;
    double road_speed_km_h = 0.0;
};
PullEnd pull_end(const JobSheet& job);

}  // namespace revwright::app
