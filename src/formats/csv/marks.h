#pragma once

#include <cstddef>
#include <cstdint>
#if defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace revwright::csv {

/// Of 64 bytes in a row: which end a cell (the delimiter or a line feed), and which of these end a line. The first byte
/// has the lowest bit.
struct Marks {
    std::uint64_t cells = 0, lines = 0;
    friend bool operator==(const Marks&, const Marks&) = default;
};

inline constexpr std::size_t kMarkedBytes = 64;

/// On any machine.
inline Marks marks_bytewise(const char* bytes, char delimiter) {
    Marks marks;
    for (std::size_t i = 0; i < kMarkedBytes; ++i) {
        const std::uint64_t line = bytes[i] == '\n', cell = bytes[i] == delimiter;
        marks.lines |= line << i;
        marks.cells |= (line | cell) << i;
    }
    return marks;
}

/// With the sixteen-byte comparisons that every x86-64 has (wider ones gain nothing: this is a twentieth of reading),
/// else byte by byte.
inline Marks marks_of(const char* bytes, char delimiter) {
#if defined(__SSE2__)
    const __m128i feed = _mm_set1_epi8('\n'), parting = _mm_set1_epi8(delimiter);
    Marks marks;
    for (std::size_t i = 0; i < kMarkedBytes; i += 16) {
        const __m128i part = _mm_loadu_si128(reinterpret_cast<const __m128i*>(bytes + i));
        const __m128i lines = _mm_cmpeq_epi8(part, feed);
        const __m128i cells = _mm_or_si128(lines, _mm_cmpeq_epi8(part, parting));
        marks.lines |= static_cast<std::uint64_t>(static_cast<unsigned>(_mm_movemask_epi8(lines))) << i;
        marks.cells |= static_cast<std::uint64_t>(static_cast<unsigned>(_mm_movemask_epi8(cells))) << i;
    }
    return marks;
#else
    return marks_bytewise(bytes, delimiter);
#endif
}

/// How many bits are set. (std::popcount calls a function where the instruction cannot be taken for granted.)
constexpr std::size_t bits_set(std::uint64_t bits) {
    bits -= (bits >> 1) & 0x5555555555555555;
    bits = (bits & 0x3333333333333333) + ((bits >> 2) & 0x3333333333333333);
    bits = (bits + (bits >> 4)) & 0x0F0F0F0F0F0F0F0F;
    return static_cast<std::size_t>((bits * 0x0101010101010101) >> 56);
}

}  // namespace revwright::csv
