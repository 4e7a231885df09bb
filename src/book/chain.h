#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/digest.h"

namespace revwright::book {

/// An entry as the database holds it.
struct Row {
    std::uint64_t number = 0;
    std::string at_utc = {}, by = {}, job = {}, record = {};
    Digest before = {}, hash = {};
    friend bool operator==(const Row&, const Row&) = default;
};

/// SHA-256 over everything else of the row, each part led by its length, so that no two rows share a hash.
Digest hash_of(const Row& row);

/// What is wrong with a row that follows another (nothing for the first); empty where it holds.
std::string fault_of(const Row& row, const std::optional<Row>& before);

}  // namespace revwright::book
