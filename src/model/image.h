#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/digest.h"
#include "model/record_file.h"

namespace revwright {

/// A run of addresses without a hole: `length` bytes from `address`, held from
/// bytes[offset] on.
struct ImageSegment {
    std::uint64_t address = 0;
    std::size_t offset = 0;
    std::size_t length = 0;
    friend bool operator==(const ImageSegment&, const ImageSegment&) = default;
};

/// The bytes of a calibration. `digest` is SHA-256 of the file's bytes.
struct Image {
    std::string file;
    std::uint64_t base_address = 0;  // address of bytes[0]
    std::vector<std::uint8_t> bytes = {};
    Digest digest = {};
    std::vector<ImageSegment> segments = {};              // rising addresses; empty: all bytes in one
    std::shared_ptr<const RecordFile> records = nullptr;  // the file as lines of records; null: raw binary

    /// Where in `bytes` the addresses lie, if all of them are held, without a
    /// hole.
    std::optional<std::size_t> offset_of(std::uint64_t address, std::uint64_t length) const;
    /// Precondition: offset < bytes.size().
    std::uint64_t address_of(std::size_t offset) const;
};

}  // namespace revwright
