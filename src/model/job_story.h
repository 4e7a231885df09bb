#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/happening.h"

namespace revwright {

/// Who a job waits for.
enum class Waits { technician, calibrator, nobody };
std::string_view to_string(Waits waits);  // "technician" ...

/// A run as it was when it was added.
struct StoryRun {
    std::uint64_t entry = 0;
    std::string at_utc = {}, by = {};
    RunAdded run = {};
    std::vector<FindingWaived> waived = {};
};

/// An image of the job: 0 is the standard one, each later one was built from approved cells of the one before.
struct StoryRevision {
    std::size_t number = 0;
    std::optional<std::size_t> parent = {};  // index into JobStory::revisions
    KeptFile image = {};
    std::uint64_t cells = 0;  // changed from the parent's
    std::string approved_by = {}, approved_at_utc = {};
    std::string released_by = {};  // empty: may not be installed yet; the standard image always may
    std::vector<StoryRun> runs = {};
    std::optional<ProposalMade> proposal = {};  // the last one made for it
    std::string proposed_by = {};
    bool free_to_drive() const { return number == 0 || !released_by.empty(); }
};

/// Where a job stands, as its history tells it.
struct JobStory {
    std::string id = {}, title = {};
    JobAdded job = {};
    std::string added_by = {}, added_at_utc = {};
    std::vector<StoryRevision> revisions = {};
    std::optional<JobSigned> sign_off = {};
    std::string signed_by = {};
    std::uint64_t last_entry = 0;
    Waits waits = Waits::nobody;
    std::string stands = {};  // one sentence: where it stands and what it waits for
};

}  // namespace revwright
