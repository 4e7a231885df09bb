#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/digest.h"
#include "core/error.h"

namespace revwright::wire {

/// What the record beside an image says of it, as far as a reader needs it who does not undo anything.
struct RevisionRecord {
    Digest parent = {}, own = {};
    struct Cell {
        std::string table, by;
    };
    std::vector<Cell> cells = {};
};

/// Out of a "revwright.revision/1" document (see image_json.h).
Result<RevisionRecord> read_record(std::string_view text, const std::string& file);

}  // namespace revwright::wire
