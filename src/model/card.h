#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/digest.h"

namespace revwright {

// The technician's page for the next run. Data only; text, HTML and JSON are made of the same values.

/// A table that differs, and in how many cells.
struct CardTable {
    std::string table = {};
    std::size_t cells = 0;
};

struct CardImage {
    std::string file = {};  // name without folder
    std::size_t bytes = 0;
    Digest digest = {};
    bool standard = false;  // the job's standard image itself
    std::vector<CardTable> since_standard = {};
    std::optional<Digest> parent = {};         // from the record beside the image
    std::vector<CardTable> since_parent = {};  // the same
    std::vector<std::string> approved_by = {};
};

/// Something to look at, and what it must be. `detail` may be empty.
struct CardLine {
    std::string what = {};
    std::string detail = {};
};

struct CardChannel {
    std::vector<std::string> channels = {};  // canonical names; one of them is enough
    std::string words = {};                  // "engine speed"
    std::string unit = {};
    double least_hz = 0.0;               // samples a second
    bool required = false;               // else what it is for simply goes unchecked
    std::vector<std::string> uses = {};  // check ids, or what else it serves
};

/// A reading at which the technician lifts at once.
struct CardLift {
    std::string what = {};     // "lambda, any bank"
    std::string reading = {};  // "above 0.95"
    std::string source = {};   // of the limit
};

struct TechnicianCard {
    std::string job_id = {}, title = {}, job_file = {};
    CardImage image = {};
    std::vector<std::string> in_the_way = {};  // why this image must not be driven; empty: nothing
    std::vector<CardLine> before = {};         // the car, before the engine is started
    std::vector<CardLine> adaptations = {};
    std::vector<CardChannel> channels = {};  // required ones first
    std::vector<CardLine> place = {};
    std::vector<CardLine> order = {};  // of driving, step by step
    std::vector<CardLift> lift = {};
    std::vector<std::string> invalid = {};  // what makes a pull no pull
    std::string bring_back = {};
    std::string run_entry = {};  // TOML for the job sheet
};

/// 64 digits in groups of eight, so that two people can read them to each other.
std::string grouped(const Digest& digest);

}  // namespace revwright
