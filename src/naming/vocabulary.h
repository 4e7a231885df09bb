#pragma once

#include <bitset>
#include <cstddef>
#include <span>
#include <string_view>

namespace revwright {

/// What a word of a channel's name stands for, whatever the language and the spelling: "Drehzahl", "rpm" and "revs" are
/// one notion. A set of them is what a name says.
inline constexpr std::size_t kMostNotions = 192;
using Notions = std::bitset<kMostNotions>;

/// A word as loggers spell it, and the notions it carries ("iat" carries three; a word that only fills carries none).
struct Word {
    std::string_view spelling;  // lower case ASCII, umlauts as ae, oe, ue, ss
    std::string_view notions;   // between blanks
};

/// The trade's words, English and German. Common practice, no source; no word is taken from any one program.
std::span<const Word> all_words();

/// The set of notions named in a text of notions between blanks. An unknown notion is our own mistake (assert).
Notions notions_of(std::string_view text);

/// The notions of a word; nothing where it is no word of ours.
const Notions* find_word(std::string_view spelling);

/// Whether any word of ours begins so: tells a search when to stop.
bool begins_a_word(std::string_view start);

}  // namespace revwright
