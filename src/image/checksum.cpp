#include "image/checksum.h"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <string>

#include "image/crc.h"
#include "image/layout.h"
#include "model/coding.h"

namespace revwright {
namespace {

Coding unsigned_of(std::size_t bytes, ByteOrder order) {
    return {bytes == 1 ? RawType::u8 : bytes == 2 ? RawType::u16 : RawType::u32, order};
}

/// Bytes added at a time: as declared, else the sum's own width.
std::size_t word_of(const ChecksumRegion& region) {
    return region.word == 0 ? stored_bytes(region.kind) : static_cast<std::size_t>(region.word);
}

ByteRange covered(const ChecksumRegion& region) { return {region.start, region.end - region.start + 1}; }

std::uint32_t width_mask(ChecksumKind kind) {
    const std::size_t bytes = stored_bytes(kind);
    return bytes == 4 ? 0xFFFFFFFFu : (1u << 8 * bytes) - 1u;
}

std::span<const std::uint8_t> bytes_of(const Image& image, ByteRange range) {
    return std::span(image.bytes).subspan(*image.offset_of(range.address, range.length), range.length);
}

std::uint32_t word_sum(std::span<const std::uint8_t> bytes, std::size_t word, ByteOrder order) {
    const Coding coding = unsigned_of(word, order);
    std::uint32_t sum = 0;  // wraps at 32 bits, which leaves every narrower sum right
    for (std::size_t at = 0; at < bytes.size(); at += word)
        sum += static_cast<std::uint32_t>(read_raw(bytes.subspan(at, word), coding));
    return sum;
}

Result<void> check_region(const ChecksumRegion& region, const Image& image) {
    const std::string who = fmt::format("the checksum stored at {}", address_text(region.store));
    if (region.end < region.start)
        return refuse(fmt::format("{} covers {} to {}: its end lies before its start", who, address_text(region.start),
                                  address_text(region.end)),
                      region.where);
    // A region of all 64-bit addresses would have length 0 in 64 bits; no image is that long.
    if (const auto last = offset_of(image, {region.end, 1}, "the end of the region of " + who, region.where); !last)
        return tl::unexpected(last.error());
    if (const auto inside = offset_of(image, covered(region), "the region of " + who, region.where); !inside)
        return tl::unexpected(inside.error());
    if (const auto inside = offset_of(image, store_range(region), who, region.where); !inside)
        return tl::unexpected(inside.error());
    if (overlap(covered(region), store_range(region)))
        return refuse(fmt::format("{} lies inside the region it covers, {}", who, addresses(covered(region))),
                      region.where);

    if (is_crc(region.kind)) {
        const std::uint32_t widest = std::max({region.polynomial, region.initial, region.final_xor});
        if (widest > width_mask(region.kind))
            return refuse(fmt::format("{} has a parameter of 0x{:X}, wider than 16 bits", who, widest), region.where);
        return {};
    }
    const std::size_t word = word_of(region);
    if (word != 1 && word != 2 && word != 4)
        return refuse(fmt::format("{} adds {} bytes at a time, 1, 2 or 4 expected", who, word), region.where);
    if (covered(region).length % word != 0)
        return refuse(
            fmt::format("{} covers {} bytes, not a whole number of {}-byte words", who, covered(region).length, word),
            region.where);
    return {};
}

std::uint32_t stored(const ChecksumRegion& region, const Image& image) {
    const Coding coding = unsigned_of(stored_bytes(region.kind), region.byte_order);
    return static_cast<std::uint32_t>(read_raw(bytes_of(image, store_range(region)), coding));
}

bool waits_for(const ChecksumRegion& region, const ChecksumRegion& inner) {
    return overlap(covered(region), store_range(inner));
}

}  // namespace

ByteRange store_range(const ChecksumRegion& region) { return {region.store, stored_bytes(region.kind)}; }

Result<void> check_regions(std::span<const ChecksumRegion> regions, const Image& image) {
    for (const ChecksumRegion& region : regions)
        if (const auto sound = check_region(region, image); !sound) return sound;
    for (std::size_t i = 0; i < regions.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            if (overlap(store_range(regions[i]), store_range(regions[j])))
                return refuse(fmt::format("two checksums are stored over each other, at {} and {}",
                                          address_text(regions[j].store), address_text(regions[i].store)),
                              regions[i].where);
    return {};
}

std::uint32_t compute(const ChecksumRegion& region, const Image& image) {
    const auto bytes = bytes_of(image, covered(region));
    std::uint32_t value = 0;
    if (is_crc(region.kind))
        value = crc({region.kind == ChecksumKind::crc16 ? 16 : 32, region.polynomial, region.initial, region.final_xor,
                     region.reflected},
                    bytes);
    else
        value = word_sum(bytes, word_of(region), region.byte_order);
    if (region.complement == Complement::ones) value = ~value;
    if (region.complement == Complement::twos) value = ~value + 1u;
    return value & width_mask(region.kind);
}

Result<std::vector<ChecksumState>> check_all(std::span<const ChecksumRegion> regions, const Image& image) {
    if (const auto sound = check_regions(regions, image); !sound) return tl::unexpected(sound.error());
    std::vector<ChecksumState> states;
    states.reserve(regions.size());
    for (const ChecksumRegion& region : regions)
        states.push_back({region.store, compute(region, image), stored(region, image)});
    return states;
}

Result<std::vector<std::size_t>> settling_order(std::span<const ChecksumRegion> regions) {
    std::vector<std::size_t> order, waiting;
    for (std::size_t i = 0; i < regions.size(); ++i) waiting.push_back(i);
    while (!waiting.empty()) {
        const auto ready = std::ranges::find_if(waiting, [&](std::size_t i) {
            return std::ranges::none_of(waiting, [&](std::size_t j) { return waits_for(regions[i], regions[j]); });
        });
        if (ready == waiting.end()) {
            std::vector<std::string> stores;
            for (const std::size_t i : waiting) stores.push_back(address_text(regions[i].store));
            return refuse(fmt::format("the checksums stored at {} lie in a ring inside each other's regions: no order "
                                      "settles them",
                                      fmt::join(stores, ", ")),
                          regions[waiting.front()].where);
        }
        order.push_back(*ready);
        waiting.erase(ready);
    }
    return order;
}

Result<void> settle(std::span<const ChecksumRegion> regions, Image& image) {
    if (const auto sound = check_regions(regions, image); !sound) return sound;
    const auto order = settling_order(regions);
    if (!order) return tl::unexpected(order.error());
    for (const std::size_t i : *order) {
        const ByteRange store = store_range(regions[i]);
        const auto offset = *image.offset_of(store.address, store.length);
        write_raw(std::span(image.bytes).subspan(offset, store.length),
                  unsigned_of(store.length, regions[i].byte_order), compute(regions[i], image));
    }
    return {};
}

}  // namespace revwright
