#pragma once

#include <span>
#include <string>
#include <string_view>

namespace revwright::sheets {

/// The text as it may stand in a message: cut to `most` bytes between characters, control characters as '?'.
std::string printable(std::string_view text, std::size_t most = 60);
/// The same within double quotes.
std::string quoted(std::string_view text);

/// Insertions, deletions and replacements that turn a into b (Levenshtein), or 3 where more than 2 are needed.
int edit_distance(std::string_view a, std::string_view b);

/// The known word that is nearest to `found` and at most two edits away; empty where there is none.
std::string_view nearest(std::string_view found, std::span<const std::string_view> known);
/// "; did you mean \"X\"?" or nothing.
std::string did_you_mean(std::string_view found, std::span<const std::string_view> known);

/// A number as a calibrator writes it: 1e-05 and 0.9, never 0.90000000000000002.
std::string plain(double value);

}  // namespace revwright::sheets
