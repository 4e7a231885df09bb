#include "formats/a2l/fields.h"

#include <fmt/format.h>

#include "formats/a2l/numbers.h"

namespace revwright::a2l {
namespace {

std::string found(const Token& token) {
    return token.kind == Token::Kind::end_of_text ? "the end of the text" : fmt::format("\"{}\"", brief(token.text));
}

}  // namespace

std::string plain(const Token& token) {
    const std::string_view text = token.text;
    if (token.kind != Token::Kind::text || text.find_first_of("\\\"") == std::string_view::npos)
        return std::string(text);
    std::string plain;
    plain.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char next = i + 1 < text.size() ? text[i + 1] : '\0';
        if (text[i] == '"' && next == '"') {
            ++i;
            plain += '"';
        } else if (text[i] == '\\' && (next == '"' || next == '\\' || next == '\'')) {
            ++i;
            plain += next;
        } else if (text[i] == '\\' && (next == 'n' || next == 't' || next == 'r')) {
            ++i;
            plain += next == 'n' ? '\n' : next == 't' ? '\t' : '\r';
        } else {
            plain += text[i];
        }
    }
    return plain;
}

std::string Fields::whose() const {
    return name_.empty() ? std::string(brief(block_)) : fmt::format("{} {}", brief(block_), brief(name_));
}

void Fields::expected(std::string_view what) {
    if (!ok_) return;
    ok_ = false;
    const Token& next = cursor_.peek();
    cursor_.problems().note(cursor_.place(next), fmt::format("{}: expected {}, found {}", whose(), what, found(next)));
}

Token Fields::word(std::string_view what) {
    if (ok_ && cursor_.peek().kind == Token::Kind::word) return cursor_.take();
    expected(what);
    return {};
}

Token Fields::name() {
    const Token token = word("its name");
    if (ok_) name_ = token.text;
    return token;
}

std::string Fields::text(std::string_view what) {
    if (ok_ && cursor_.peek().kind == Token::Kind::text) return plain(cursor_.take());
    expected(what);
    return {};
}

double Fields::number(std::string_view what) {
    if (ok_ && cursor_.peek().kind == Token::Kind::word)
        if (const auto number = number_of(cursor_.peek().text)) {
            cursor_.take();
            return *number;
        }
    expected(what);
    return 0.0;
}

std::uint64_t Fields::whole(std::string_view what) {
    if (ok_ && cursor_.peek().kind == Token::Kind::word)
        if (const auto whole = whole_of(cursor_.peek().text)) {
            cursor_.take();
            return *whole;
        }
    expected(what);
    return 0;
}

}  // namespace revwright::a2l
