#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace revwright::a2l {

/// One word of the text, or what stands in quotes. Views into the text: nothing is copied.
struct Token {
    enum class Kind : std::uint8_t { end_of_text, begin, end, include, word, text, open_text, open_comment };
    Kind kind = Kind::end_of_text;
    std::uint16_t source = 0;  // which of the files
    std::uint32_t line = 0;
    const char* line_start = nullptr;
    std::string_view text = {};  // of `text`: without its quotes, escapes as they were written
};

/// As much of a word as a sentence can hold, cut between characters: a hostile one may be as long as the file.
std::string_view brief(std::string_view word);

/// Splits a text into tokens; comments are passed over. An open_text is a quote that is never closed, and ends with its
/// line; an open_comment stands before the end of the text.
class Lexer {
public:
    Lexer(std::string_view text, std::uint16_t source);

    Token next();
    /// The path behind /include: in quotes, or up to the next white space (a path has slashes, which end a word).
    Token next_path();
    /// Passes over everything up to the "/end NAME" of the block that is open, which is the next token then; nothing in
    /// between is looked at but comments.
    void skip_to_end(std::string_view name);

private:
    Token make(Token::Kind kind, const char* first, const char* last) const;
    bool pass_blanks();  // false: a comment is not closed
    bool pass_comment();
    Token quoted();
    void new_line(const char* first_of_line);

    const char* at_;
    const char* end_;
    const char* line_start_;
    std::uint32_t line_ = 1;
    std::uint16_t source_;
    bool one_line_ = false;  // a quote was never closed: further ones are looked for in their own line only
};

}  // namespace revwright::a2l
