#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <span>
#include <vector>

#include "formats/mdf4/data_pieces.h"

namespace revwright::mdf4 {

/// Records of one length from a stream whose pieces end anywhere: whole ones where they lie, one that straddles two
/// pieces from a buffer of its own.
class EvenRecords {
public:
    using Taker = std::function<void(const std::uint8_t* records, std::size_t count)>;
    EvenRecords(std::size_t bytes, Taker take) : bytes_(bytes), take_(std::move(take)) {}
    void feed(std::span<const std::uint8_t> piece);
    /// Bytes of a last record that is not whole.
    std::size_t left_over() const { return straddling_.size(); }

private:
    std::size_t bytes_;  // above 0
    Taker take_;
    std::vector<std::uint8_t> straddling_;
};

/// The shape of one kind of record in a stream of several kinds.
struct RecordShape {
    std::size_t bytes = 0;     // without its id
    bool text = false;         // a length of 4 bytes, and so many bytes (VLSD); `bytes` does not count
    std::size_t receiver = 0;  // what its taker is told
};

/// Records of several kinds, each with its id before it, from a stream whose pieces end anywhere.
class MixedRecords {
public:
    /// Of a text the record without its length.
    using Taker = std::function<void(std::size_t receiver, std::span<const std::uint8_t> record)>;
    MixedRecords(std::size_t id_bytes, std::map<std::uint64_t, RecordShape> shapes, Taker take)
        : id_bytes_(id_bytes), shapes_(std::move(shapes)), take_(std::move(take)) {}
    /// False once an id is met that no group has: from there on nothing can be told apart.
    bool feed(std::span<const std::uint8_t> piece);
    bool lost_track() const { return lost_track_; }
    std::uint64_t unknown_id() const { return unknown_id_; }
    std::size_t left_over() const { return straddling_.size(); }

private:
    /// Bytes of the record that begins here, or as many as are needed to know; nothing where its id is unknown.
    std::optional<std::size_t> needed(std::span<const std::uint8_t> from, const RecordShape*& shape);
    void hand_over(std::span<const std::uint8_t> record, const RecordShape& shape) const;

    std::size_t id_bytes_;
    std::map<std::uint64_t, RecordShape> shapes_;
    Taker take_;
    std::vector<std::uint8_t> straddling_;
    bool lost_track_ = false;
    std::uint64_t unknown_id_ = 0;
};

}  // namespace revwright::mdf4
