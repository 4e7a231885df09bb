#pragma once

#include <cstdint>
#include <string>
#include <vector>

/// For tests only: small whole files, one for each thing that MDF 4 can hold and for each way it can be wrong.
namespace revwright::mdf4::blocks {

struct Seed {
    std::string name;  // as the file in tests/fuzz/corpus/mdf4_fuzz
    std::vector<std::uint8_t> bytes;
    bool is_readable = true;
};

/// Always the same, in the same order.
std::vector<Seed> all_seeds();

}  // namespace revwright::mdf4::blocks
