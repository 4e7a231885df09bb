#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/digest.h"
#include "model/review.h"

namespace revwright {

// What can happen to a job in the book. Nothing is ever changed or taken back: what holds now follows from what
// happened.

/// Bytes that the book keeps, and what people call them.
struct KeptFile {
    std::string name = {};
    Digest digest = {};
    std::uint64_t bytes = 0;
    friend bool operator==(const KeptFile&, const KeptFile&) = default;
};

struct JobAdded {
    std::string title = {};
    KeptFile sheet = {};
    KeptFile standard = {};            // the standard image, revision 0
    std::vector<KeptFile> files = {};  // what else the sheet names: descriptions, maps
    friend bool operator==(const JobAdded&, const JobAdded&) = default;
};

/// A log, and what was driven. The verdict is that of the program at the time.
struct RunAdded {
    KeptFile log = {};
    Digest image = {};
    std::string run = {};  // its [[run]] in the job sheet's words, without log and image
    Severity worst = Severity::clear;
    std::vector<std::string> open = {};  // checks that found a stop or mend, or are required and could not run
    std::string verdict = {};            // one sentence
    friend bool operator==(const RunAdded&, const RunAdded&) = default;
};

struct ProposalMade {
    KeptFile proposal = {};
    Digest parent = {};       // the image it changes
    std::uint64_t moves = 0;  // cells that it would change
    friend bool operator==(const ProposalMade&, const ProposalMade&) = default;
};

/// An image built from the cells of a proposal that somebody approved; `by` of the entry is who did.
struct RevisionApproved {
    KeptFile image = {};
    KeptFile record = {};    // parent, changes, warrants, approvals
    KeptFile proposal = {};  // with its approvals
    Digest parent = {};
    std::uint64_t cells = 0;  // approved and changed
    friend bool operator==(const RevisionApproved&, const RevisionApproved&) = default;
};

/// Free to be installed and driven.
struct RevisionReleased {
    Digest image = {};
    friend bool operator==(const RevisionReleased&, const RevisionReleased&) = default;
};

/// A finding that somebody answers for.
struct FindingWaived {
    Digest log = {};
    std::string check = {}, reason = {};
    friend bool operator==(const FindingWaived&, const FindingWaived&) = default;
};

struct JobSigned {
    Digest image = {};
    std::string reason = {};
    friend bool operator==(const JobSigned&, const JobSigned&) = default;
};

using Happening =
    std::variant<JobAdded, RunAdded, ProposalMade, RevisionApproved, RevisionReleased, FindingWaived, JobSigned>;

/// What is to be written into the book.
struct BookDraft {
    std::string at_utc = {};  // "2026-03-14T09:30:00Z"
    std::string by = {};
    std::string job = {};
    Happening what = {};
};

/// One entry of the history, tied to the one before it.
struct BookEntry {
    std::uint64_t number = 0;  // from 1, without gaps
    BookDraft draft = {};
    Digest before = {};  // hash of the entry before; zeros for the first
    Digest hash = {};
};

}  // namespace revwright
