#include "naming/name_words.h"

#include <algorithm>
#include <charconv>

namespace revwright {
namespace {

constexpr std::size_t kLongestName = 200;                     // bytes; longer text is prose, and no name
constexpr std::size_t kShortestPart = 3;                      // of a compound: shorter words would cover anything
constexpr std::string_view kJoints[] = {"", "s", "n", "en"};  // German sets these between the parts of a compound

struct Folding {
    std::string_view bytes, plain;
};

constexpr Folding kFoldings[] = {
    {"\xC3\xA4", "ae"},    {"\xC3\xB6", "oe"}, {"\xC3\xBC", "ue"}, {"\xC3\x9F", "ss"},
    {"\xC3\x84", "Ae"},    {"\xC3\x96", "Oe"}, {"\xC3\x9C", "Ue"}, {"\xCE\xBB", " lambda "},
    {"\xCF\x86", " phi "}, {"\xE4", "ae"},     {"\xF6", "oe"},     {"\xFC", "ue"},
    {"\xDF", "ss"},        {"\xC4", "Ae"},     {"\xD6", "Oe"},     {"\xDC", "Ue"},
};

bool is_lower(char c) { return c >= 'a' && c <= 'z'; }
bool is_upper(char c) { return c >= 'A' && c <= 'Z'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return is_lower(c) || is_upper(c); }

std::string fold(std::string_view name) {
    std::string plain;
    while (!name.empty()) {
        const auto* sign = std::ranges::find_if(kFoldings, [&](const Folding& f) { return name.starts_with(f.bytes); });
        if (sign != std::end(kFoldings)) {
            plain += sign->plain;
            name.remove_prefix(sign->bytes.size());
            continue;
        }
        const char c = name.front();
        plain += is_letter(c) || is_digit(c) ? c : ' ';
        name.remove_prefix(1);
    }
    return plain;
}

std::string lower(std::string_view text) {
    std::string low(text);
    for (char& c : low)
        if (is_upper(c)) c = static_cast<char>(c - 'A' + 'a');
    return low;
}

/// The notions of words that cover the text whole, longest first word preferred; nothing where none do.
std::optional<Notions> cover(std::string_view text, std::size_t shortest) {
    if (text.empty()) return Notions{};
    std::size_t longest = 0;
    while (longest < text.size() && begins_a_word(text.substr(0, longest + 1))) ++longest;
    for (std::size_t length = longest; length >= shortest && length > 0; --length) {
        const Notions* word = find_word(text.substr(0, length));
        if (word == nullptr) continue;
        const std::string_view rest = text.substr(length);
        if (rest.empty()) return *word;
        for (const std::string_view joint : kJoints) {
            if (!rest.starts_with(joint) || rest.size() == joint.size()) continue;
            if (const auto behind = cover(rest.substr(joint.size()), kShortestPart)) return *word | *behind;
        }
    }
    return std::nullopt;
}

std::optional<Notions> one_or_compound(std::string_view text) {
    if (const Notions* word = find_word(text)) return *word;
    return text.size() <= 40 ? cover(text, kShortestPart) : std::nullopt;
}

/// Where camel case begins a new word: "RailPressure", and the last capital of "GPSSpeed".
std::vector<std::string> humps(std::string_view letters) {
    std::vector<std::string> parts(1);
    for (std::size_t i = 0; i < letters.size(); ++i) {
        const bool after_lower = i > 0 && is_upper(letters[i]) && is_lower(letters[i - 1]);
        const bool before_lower = i > 0 && is_upper(letters[i]) && is_upper(letters[i - 1]) && i + 1 < letters.size() &&
                                  is_lower(letters[i + 1]);
        if (after_lower || before_lower) parts.emplace_back();
        parts.back() += letters[i];
    }
    for (std::string& part : parts) part = lower(part);
    return parts;
}

struct Token {
    enum class Kind { word, number, letter } kind;
    Notions notions = {};
    int number = 0;
    char letter = 0;
};

class Splitter {
public:
    explicit Splitter(std::string_view name) : text_(fold(name.substr(0, kLongestName))) {}

    NameWords split() {
        for (std::size_t i = 0; i < text_.size();) {
            const std::size_t begin = i;
            if (is_digit(text_[i])) {
                while (i < text_.size() && is_digit(text_[i])) ++i;
                add_number(std::string_view(text_).substr(begin, i - begin));
            } else if (is_letter(text_[i])) {
                while (i < text_.size() && is_letter(text_[i])) ++i;
                if (i == begin + 1 && i < text_.size() && lower(text_.substr(begin, 2)) == "o2") ++i;  // oxygen
                add_letters(std::string_view(text_).substr(begin, i - begin));
            } else {
                ++i;
            }
        }
        number_parts();
        return std::move(name_);
    }

private:
    void add_word(Notions notions) { tokens_.push_back({.kind = Token::Kind::word, .notions = notions}); }

    void add_number(std::string_view digits) {
        int number = 0;
        const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
        if (error != std::errc{} || number > 99)
            name_.unknown.emplace_back(digits);
        else
            tokens_.push_back({.kind = Token::Kind::number, .number = number});
    }

    void add_part(const std::string& part) {
        if (const auto notions = one_or_compound(part)) return add_word(*notions);
        if (part.size() == 1)
            tokens_.push_back({.kind = Token::Kind::letter, .letter = part.front()});
        else
            name_.unknown.push_back(part);
    }

    void add_letters(std::string_view letters) {
        if (const auto whole = one_or_compound(lower(letters))) return add_word(*whole);
        for (const std::string& part : humps(letters)) add_part(part);
    }

    /// "cylinder 3", "B1S2", "Lambda 2": what each number counts is said by what stands before it, or by a cylinder
    /// behind it ("1. Zylinder").
    void number_parts() {
        const Notions cylinder = notions_of("cylinder"), bank = notions_of("bank"), sensor = notions_of("sensor");
        for (std::size_t i = 0; i < tokens_.size(); ++i) {
            const Token& token = tokens_[i];
            const bool numbered = i + 1 < tokens_.size() && tokens_[i + 1].kind == Token::Kind::number;
            if (token.kind == Token::Kind::word) {
                name_.notions |= token.notions & ~(bank | sensor);
                if (numbered && (token.notions & cylinder).any())
                    name_.cylinder = tokens_[++i].number;
                else if (numbered && (token.notions & bank).any())
                    name_.bank = tokens_[++i].number;
                else if (numbered && (token.notions & sensor).any())
                    name_.sensor = tokens_[++i].number;
            } else if (token.kind == Token::Kind::letter) {
                if (numbered && token.letter == 'b')
                    name_.bank = tokens_[++i].number;
                else if (numbered && token.letter == 's')
                    name_.sensor = tokens_[++i].number;
                else if (name_.letter == 0 && token.letter >= 'a' && token.letter <= 'f')
                    name_.letter = token.letter;
                else
                    name_.unknown.emplace_back(1, token.letter);
            } else if (i + 1 < tokens_.size() && (tokens_[i + 1].notions & cylinder).any() && !name_.cylinder) {
                name_.cylinder = token.number;
            } else if (!name_.index) {
                name_.index = token.number;
            } else {
                name_.unknown.push_back(std::to_string(token.number));
            }
        }
    }

    std::string text_;
    std::vector<Token> tokens_;
    NameWords name_;
};

}  // namespace

NameWords read_name(std::string_view name) { return Splitter(name).split(); }

}  // namespace revwright
