#include "formats/csv/survey.h"

#include <algorithm>
#include <vector>
#if defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace revwright::csv {
namespace {

constexpr std::size_t kPiece = std::size_t{1} << 16;

std::size_t count_line_feeds(std::string_view text) {
    std::size_t count = 0;
#if defined(__SSE2__)
    constexpr std::size_t kWide = 16;
    constexpr std::size_t kMostSteps = 255;  // so many line feeds fit into one byte
    const __m128i feed = _mm_set1_epi8('\n');
    while (text.size() >= kWide) {
        const std::size_t steps = std::min(text.size() / kWide, kMostSteps);
        __m128i counts = _mm_setzero_si128();
        for (std::size_t i = 0; i < steps; ++i) {
            const __m128i part = _mm_loadu_si128(reinterpret_cast<const __m128i*>(text.data() + i * kWide));
            counts = _mm_sub_epi8(counts, _mm_cmpeq_epi8(part, feed));  // equal is -1
        }
        const __m128i sums = _mm_sad_epu8(counts, _mm_setzero_si128());
        count += static_cast<std::size_t>(_mm_cvtsi128_si64(sums)) +
                 static_cast<std::size_t>(_mm_cvtsi128_si64(_mm_unpackhi_epi64(sums, sums)));
        text.remove_prefix(steps * kWide);
    }
#endif
    return count + static_cast<std::size_t>(std::ranges::count(text, '\n'));
}

Survey survey_piece(std::string_view text) { return {count_line_feeds(text), text.contains('\0')}; }

}  // namespace

Survey survey(std::string_view text, const Workers& workers) {
    std::vector<Survey> pieces((text.size() + kPiece - 1) / kPiece);
    workers.run(pieces.size(), [&](std::size_t i) { pieces[i] = survey_piece(text.substr(i * kPiece, kPiece)); });
    Survey all;
    for (const Survey& piece : pieces) {
        all.line_feeds += piece.line_feeds;
        all.has_zero = all.has_zero || piece.has_zero;
    }
    return all;
}

}  // namespace revwright::csv
