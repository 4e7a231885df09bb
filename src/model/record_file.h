#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace revwright {

/// How a record's last byte proves the others.
enum class RecordProof { twos_complement, ones_complement };

/// The last byte of a record whose other counted bytes are these: their sum's complement, cut to a byte.
std::uint8_t proof_of(std::span<const std::uint8_t> counted, RecordProof proof);

/// One record that holds data, where it stands in the text. Offsets count characters of the text.
struct DataRecord {
    std::uint64_t address = 0;
    std::vector<std::uint8_t> data = {};
    std::size_t line = 0;      // from 1
    std::size_t first_at = 0;  // the first byte that the checksum counts
    std::size_t data_at = 0;
    std::size_t proof_at = 0;
};

/// A calibration as lines of hexadecimal records: the text stays, so that writing it again changes only what moved.
struct RecordFile {
    std::string text;
    RecordProof proof = RecordProof::twos_complement;
    std::vector<DataRecord> records;  // in the order of the file
};

}  // namespace revwright
