#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>

namespace revwright::mdf4 {

/// What reading one file may cost, whatever its counters and links claim: many channels may read the same bytes, and
/// deflate may hide a thousand bytes in one. All our choice: a log of any real shape stays far below.
struct Budget {
    explicit Budget(std::size_t file_bytes)
        : samples(std::max<std::size_t>(256u << 20, 128 * file_bytes)),
          texts(std::max<std::size_t>(32u << 20, 4 * file_bytes)),
          stream(std::max<std::size_t>(256u << 20, 100 * file_bytes)),
          work(std::max<std::size_t>(std::size_t{1} << 29, 100 * file_bytes)) {}
    std::size_t samples;  // bytes of values
    std::size_t texts;    // bytes of distinct texts
    std::size_t stream;   // bytes of records, inflated
    std::size_t work;     // samples read, each times the weight of its conversion
};

}  // namespace revwright::mdf4
