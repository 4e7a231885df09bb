#include "formats/a2l/lexer.h"

#include <array>
#include <cstring>

namespace revwright::a2l {
namespace {

enum class Sign : std::uint8_t { word, blank, line, slash, quote };

constexpr std::array<Sign, 256> kSigns = [] {
    std::array<Sign, 256> signs{};
    for (std::size_t c = 0; c <= ' '; ++c) signs[c] = Sign::blank;
    signs['\n'] = Sign::line;
    signs['/'] = Sign::slash;
    signs['"'] = Sign::quote;
    return signs;
}();

Sign sign(char c) { return kSigns[static_cast<unsigned char>(c)]; }

}  // namespace

std::string_view brief(std::string_view word) {
    constexpr std::size_t kMost = 200;
    if (word.size() <= kMost) return word;
    std::size_t length = kMost;
    while (length > 0 && (static_cast<unsigned char>(word[length]) & 0xC0) == 0x80) --length;
    return word.substr(0, length);
}

Lexer::Lexer(std::string_view text, std::uint16_t source)
    : at_(text.data()), end_(text.data() + text.size()), line_start_(at_), source_(source) {
    if (text.starts_with("\xEF\xBB\xBF")) line_start_ = at_ += 3;
}

Token Lexer::make(Token::Kind kind, const char* first, const char* last) const {
    return {kind, source_, line_, line_start_, {first, static_cast<std::size_t>(last - first)}};
}

void Lexer::new_line(const char* first_of_line) {
    ++line_;
    line_start_ = first_of_line;
}

bool Lexer::pass_comment() {
    if (at_[1] == '/') {
        const void* line = std::memchr(at_, '\n', static_cast<std::size_t>(end_ - at_));
        at_ = line != nullptr ? static_cast<const char*>(line) : end_;
        return true;
    }
    const Lexer opened = *this;
    for (at_ += 2; at_ < end_; ++at_) {
        if (*at_ == '\n') new_line(at_ + 1);
        if (*at_ == '*' && end_ - at_ > 1 && at_[1] == '/') {
            at_ += 2;
            return true;
        }
    }
    *this = opened;
    return false;
}

bool Lexer::pass_blanks() {
    while (at_ < end_) {
        const Sign what = sign(*at_);
        if (what == Sign::line) {
            new_line(++at_);
        } else if (what == Sign::blank) {
            ++at_;
        } else if (what == Sign::slash && end_ - at_ > 1 && (at_[1] == '/' || at_[1] == '*')) {
            if (!pass_comment()) return false;
        } else {
            break;
        }
    }
    return true;
}

Token Lexer::quoted() {
    const Token opened = make(Token::Kind::text, at_ + 1, at_ + 1);
    const char* at = at_ + 1;
    const char* start = line_start_;
    std::uint32_t line = line_;
    const auto closed = [&](const char* last) {
        Token token = opened;
        token.text = {opened.text.data(), static_cast<std::size_t>(last - opened.text.data())};
        return token;
    };
    for (; at < end_ && !(one_line_ && *at == '\n'); ++at) {
        if (*at == '\\' && end_ - at > 1) {
            if (one_line_ && at[1] == '\n') break;
            ++at;
        } else if (*at == '"') {
            if (end_ - at < 2 || at[1] != '"') {
                at_ = at + 1;
                line_ = line;
                line_start_ = start;
                return closed(at);
            }
            ++at;
        }
        if (*at == '\n') {
            ++line;
            start = at + 1;
        }
    }
    one_line_ = true;
    const void* const rest = std::memchr(at_, '\n', static_cast<std::size_t>(end_ - at_));
    at_ = rest != nullptr ? static_cast<const char*>(rest) : end_;
    Token token = closed(at_);
    token.kind = Token::Kind::open_text;
    return token;
}

Token Lexer::next() {
    if (!pass_blanks()) {
        const Token open = make(Token::Kind::open_comment, at_, at_ + 2);
        at_ = end_;
        return open;
    }
    if (at_ == end_) return make(Token::Kind::end_of_text, at_, at_);
    if (*at_ == '"') return quoted();
    const char* const first = at_++;
    while (at_ < end_ && sign(*at_) == Sign::word) ++at_;
    const Token token = make(Token::Kind::word, first, at_);
    if (*first != '/') return token;
    if (token.text == "/begin") return make(Token::Kind::begin, first, at_);
    if (token.text == "/end") return make(Token::Kind::end, first, at_);
    if (token.text == "/include") return make(Token::Kind::include, first, at_);
    return token;
}

Token Lexer::next_path() {
    if (!pass_blanks() || at_ == end_ || *at_ == '"') return next();
    const char* const first = at_;
    while (at_ < end_ && sign(*at_) != Sign::blank && sign(*at_) != Sign::line) ++at_;
    return make(Token::Kind::word, first, at_);
}

void Lexer::skip_to_end(std::string_view name) {
    while (pass_blanks() && at_ < end_) {
        if (*at_ != '/') {
            ++at_;
            while (at_ < end_ && sign(*at_) != Sign::slash && sign(*at_) != Sign::line) ++at_;
            continue;
        }
        const Lexer here = *this;
        const bool found = next().kind == Token::Kind::end && next().text == name;
        *this = here;
        if (found) return;
        ++at_;
    }
}

}  // namespace revwright::a2l
