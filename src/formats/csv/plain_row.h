#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <limits>
#include <span>

#include "formats/csv/number.h"

namespace revwright::csv {

/// Rows in which every cell is blank or a plain number, eight digits at a time.
class PlainRow {
public:
    explicit PlainRow(char decimal) : decimal_(decimal), points_(kOnes * static_cast<unsigned char>(decimal)) {}

    /// begin: where the row starts; at least seven bytes of text must stand before it.
    /// ends: of each of its cells the offset from `base` of what ends it; the last is the line feed's.
    /// Puts the numbers, NaN for a blank, at out, out + stride .. and says whether that is all there is: where it says
    /// no, the row must be read in another way.
    bool read(const char* begin, const char* base, std::span<const std::uint32_t> ends, double* out,
              std::size_t stride) const {
        const std::size_t last = ends.size() - 1;
        for (std::size_t column = 0; column < last; ++column, out += stride) {
            const char* const end = base + ends[column];
            if (!read_cell(begin, end, *out)) return false;
            begin = end + 1;
        }
        const char* end = base + ends[last];
        if (end != begin && end[-1] == '\r') --end;
        return read_cell(begin, end, *out);
    }

private:
    static constexpr std::uint64_t kOnes = 0x0101010101010101;

    /// The eight bytes before `end`, the last of them highest.
    static std::uint64_t eight_before(const char* end) {
        std::uint64_t bytes = 0;
        if constexpr (std::endian::native == std::endian::little) {
            std::memcpy(&bytes, end - 8, 8);
        } else {
            for (int i = -8; i < 0; ++i)
                bytes |= static_cast<std::uint64_t>(static_cast<unsigned char>(end[i])) << (8 * (i + 8));
        }
        return bytes;
    }

    /// Eight digits, each a byte of 0 to 9, the first in the lowest byte: by pairs, fours, and the whole.
    static std::uint64_t number_of(std::uint64_t digits) {
        digits = digits * 10 + (digits >> 8);
        const std::uint64_t low = (digits & 0x000000FF000000FF) * (100 + (std::uint64_t{1'000'000} << 32));
        const std::uint64_t high = ((digits >> 16) & 0x000000FF000000FF) * (1 + (std::uint64_t{10'000} << 32));
        return (low + high) >> 32;
    }

    bool read_cell(const char* begin, const char* end, double& value) const {
        const bool negative = *begin == '-';
        const bool has_sign = negative || *begin == '+';
        const auto length = static_cast<std::size_t>(end - begin);
        const std::size_t signless = length - (has_sign ? 1 : 0);  // begin is no sign where the cell is blank
        if (signless - 1 >= 8) [[unlikely]]
            return read_other(begin, end, value);
        // Of the eight bytes before the end those of the cell stay; the others are 0, as digits before the first are.
        const std::uint64_t bytes = eight_before(end), cell = ~std::uint64_t{0} << (64 - 8 * signless);
        const std::uint64_t digits = (bytes ^ (kOnes * '0')) & cell;
        // The lowest of the bits that mark a byte of zero is exact; above it a byte of one may be marked.
        const std::uint64_t no_point = (bytes ^ points_) | ~cell;
        const std::uint64_t zero = (no_point - kOnes) & ~no_point & (kOnes * 0x80);
        const std::uint64_t mark = zero & (~zero + 1);
        const bool has_point = mark != 0;
        const std::uint64_t before = (mark >> 7) - 1;           // all bytes where there is no point
        const std::uint64_t point = (mark << 1) - (mark >> 7);  // its byte, or none
        const std::uint64_t closed = ((digits & before) << (has_point ? 8 : 0)) | (digits & ~(before | point));
        const std::uint64_t beyond = (closed | (closed + kOnes * 6)) & (kOnes * 0xF0);
        if (beyond != 0 || signless == (has_point ? 1 : 0)) [[unlikely]]
            return read_other(begin, end, value);
        const int decimals = has_point ? std::countl_zero(mark | 1) / 8 : 0;
        const double size = static_cast<double>(static_cast<std::int64_t>(number_of(closed))) / kExactPowers[decimals];
        // The sign as a bit: which cells are negative is a guess the processor would get wrong.
        const std::uint64_t sign = std::uint64_t{negative} << 63;
        value = std::bit_cast<double>(std::bit_cast<std::uint64_t>(size) | sign);
        return true;
    }

    /// Blank, long, or with an exponent; else it is none of ours.
    bool read_other(const char* begin, const char* end, double& value) const {
        value = std::numeric_limits<double>::quiet_NaN();
        return begin == end || scan_number(begin, decimal_, value) == end;
    }

    char decimal_;
    std::uint64_t points_;
};

}  // namespace revwright::csv
