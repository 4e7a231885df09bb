#include "formats/mdf4/record_stream.h"

#include <algorithm>
#include <cstring>
#include <optional>

namespace revwright::mdf4 {

void EvenRecords::feed(std::span<const std::uint8_t> piece) {
    if (!straddling_.empty()) {
        const std::size_t more = std::min(bytes_ - straddling_.size(), piece.size());
        straddling_.insert(straddling_.end(), piece.begin(), piece.begin() + static_cast<std::ptrdiff_t>(more));
        piece = piece.subspan(more);
        if (straddling_.size() < bytes_) return;
        take_(straddling_.data(), 1);
        straddling_.clear();
    }
    const std::size_t whole = piece.size() / bytes_;
    if (whole > 0) take_(piece.data(), whole);
    const auto rest = piece.subspan(whole * bytes_);
    straddling_.assign(rest.begin(), rest.end());
}

std::optional<std::size_t> MixedRecords::needed(std::span<const std::uint8_t> from, const RecordShape*& shape) {
    if (from.size() < id_bytes_) return id_bytes_;
    std::uint64_t id = 0;
    std::memcpy(&id, from.data(), id_bytes_);
    const auto found = shapes_.find(id);
    if (found == shapes_.end()) {
        unknown_id_ = id;
        return std::nullopt;
    }
    shape = &found->second;
    if (!shape->text) return id_bytes_ + shape->bytes;
    if (from.size() < id_bytes_ + 4) return id_bytes_ + 4;
    return id_bytes_ + 4 + load<std::uint32_t>(from.data() + id_bytes_);
}

void MixedRecords::hand_over(std::span<const std::uint8_t> record, const RecordShape& shape) const {
    take_(shape.receiver, record.subspan(id_bytes_ + (shape.text ? 4 : 0)));
}

bool MixedRecords::feed(std::span<const std::uint8_t> piece) {
    while (!piece.empty() && !lost_track_) {
        const bool straddles = !straddling_.empty();
        const std::span<const std::uint8_t> from = straddles ? std::span<const std::uint8_t>(straddling_) : piece;
        const RecordShape* shape = nullptr;
        const auto bytes = needed(from, shape);
        if (!bytes) {
            lost_track_ = true;
            break;
        }
        const std::size_t here = std::min(*bytes - std::min(*bytes, straddles ? from.size() : 0), piece.size());
        if (!straddles && *bytes <= piece.size() && shape != nullptr) {
            hand_over(piece.first(*bytes), *shape);
            piece = piece.subspan(*bytes);
            continue;
        }
        straddling_.insert(straddling_.end(), piece.begin(), piece.begin() + static_cast<std::ptrdiff_t>(here));
        piece = piece.subspan(here);
        const RecordShape* known = nullptr;
        const auto all = needed(straddling_, known);
        if (all && known != nullptr && *all == straddling_.size()) {
            hand_over(straddling_, *known);
            straddling_.clear();
        }
    }
    return !lost_track_;
}

}  // namespace revwright::mdf4
