#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "naming/claims.h"
#include "naming/hints.h"
#include "naming/moments.h"
#include "naming/wordings.h"

namespace revwright {

/// What is known of a log while its channels are being settled.
struct NamingScene {
    const Log* log = nullptr;
    const NamingHints* hints = nullptr;
    const std::vector<Claim>* claims = nullptr;  // settled so far
    EngineMoments moments = {};
    double ambient_kpa = 101.325;
    bool ambient_is_known = false;             // logged, or stated by the job
    int metric_votes = 0, imperial_votes = 0;  // channels whose unit is settled, by system
};

/// One way to take a channel that its data allow.
struct Reading {
    Claim claim = {};
    bool typical = false;   // looks as this signal does in a healthy car, so that it may be told from another reading
    std::string note = {};  // what was assumed, one sentence; empty where nothing was
};

/// All ways to take the channel as this match, or why there is none.
struct Readings {
    std::vector<Reading> possible = {};
    std::string why_none = {};
};

Readings readings_of(const Channel& channel, std::size_t index, const WordMatch& match, const NamingScene& scene);

/// "metric" is +1, imperial -1, a unit of both 0.
int system_of(std::string_view unit);

}  // namespace revwright
