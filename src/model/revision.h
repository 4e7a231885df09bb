#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "core/digest.h"
#include "model/image.h"
#include "model/proposal.h"
#include "model/role.h"
#include "model/table.h"

namespace revwright {

/// A cell that differs between a revision and its parent, with its warrant and who approved it.
struct ChangedCell {
    std::string table;
    Role role = Role::spark;
    CellIndex at = {};
    std::string unit = {};
    double from = 0.0;  // physical
    double to = 0.0;
    double raw_from = 0.0;  // counts
    double raw_to = 0.0;
    std::uint64_t address = 0;
    Bound bound = Bound::step;
    WarrantEvidence evidence = {};
    std::string text = {};
    std::string by = {};
    std::string at_utc = {};
};

struct ChangedChecksum {
    std::uint64_t store = 0;
    std::size_t size = 0;  // bytes stored
    std::uint32_t from = 0;
    std::uint32_t to = 0;
};

/// A run of bytes as it was in the parent and as it is in the child; both equally long.
struct PatchEntry {
    std::uint64_t address = 0;
    std::vector<std::uint8_t> parent = {};
    std::vector<std::uint8_t> child = {};
};

/// What undoes a revision byte for byte.
struct Patch {
    Digest parent = {};
    Digest child = {};
    std::vector<PatchEntry> entries = {};  // rising addresses, apart from one another
};

/// A revision as built: the bytes, and all that changed.
struct BuiltImage {
    Image image = {};
    Digest parent = {};
    std::vector<ChangedCell> cells = {};  // in the order of the approvals; approved cells that stay are left out
    std::vector<ChangedChecksum> checksums = {};
    Patch inverse = {};
};

}  // namespace revwright
