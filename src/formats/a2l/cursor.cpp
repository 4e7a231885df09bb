#include "formats/a2l/cursor.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <utility>

#include "formats/a2l/include_path.h"
#include "formats/a2l/text.h"

namespace revwright::a2l {
namespace {

using Kind = Token::Kind;

constexpr std::size_t kDeepest = 200;                         // blocks in one another
constexpr std::size_t kIncludesDeep = 8, kIncludes = 256;     // files in one another, files at all
constexpr std::size_t kIncludedBytes = std::size_t{1} << 28;  // in all of them
constexpr std::size_t kModuleDepth = 2;                       // PROJECT, MODULE

/// Blocks that stand in a MODULE and nowhere else: inside another block, that one's /end is missing.
constexpr std::array<std::string_view, 23> kModuleBlocks = {"CHARACTERISTIC",
                                                            "MEASUREMENT",
                                                            "AXIS_PTS",
                                                            "COMPU_METHOD",
                                                            "COMPU_TAB",
                                                            "COMPU_VTAB",
                                                            "RECORD_LAYOUT",
                                                            "COMPU_VTAB_RANGE",
                                                            "FUNCTION",
                                                            "GROUP",
                                                            "UNIT",
                                                            "MOD_PAR",
                                                            "MOD_COMMON",
                                                            "TYPEDEF_CHARACTERISTIC",
                                                            "TYPEDEF_MEASUREMENT",
                                                            "TYPEDEF_AXIS",
                                                            "TYPEDEF_BLOB",
                                                            "BLOB",
                                                            "TYPEDEF_STRUCTURE",
                                                            "INSTANCE",
                                                            "USER_RIGHTS",
                                                            "VARIANT_CODING",
                                                            "TRANSFORMER"};

bool is_module_block(std::string_view name) { return std::ranges::find(kModuleBlocks, name) != kModuleBlocks.end(); }

std::string last_part(const std::string& file) { return file.substr(file.find_last_of("/\\") + 1); }

}  // namespace

Cursor::Cursor(std::string_view text, const std::string& file, const IncludeReader& include, Problems& problems)
    : include_(include), problems_(problems) {
    sources_.push_back({.file = file, .path = last_part(file)});
    lexers_.emplace_back(text, std::uint16_t{0});
    within_.push_back(0);
    next_ = lex();
}

Place Cursor::place(const Token& token) const {
    const char* const at = token.kind == Kind::text ? token.text.data() - 1 : token.text.data();
    std::size_t column = static_cast<std::size_t>(at - token.line_start);
    constexpr std::size_t kCounted = 1000;  // beyond, bytes are counted instead of characters
    if (column < kCounted)
        column = static_cast<std::size_t>(
            std::count_if(token.line_start, at, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
    return {.file = sources_[token.source].file, .line = token.line, .column = column + 1};
}

Token Cursor::lex() {
    for (;;) {
        Token token = lexers_.back().next();
        if (token.kind == Kind::end_of_text) {
            if (lexers_.size() == 1) return token;
            lexers_.pop_back();
            within_.pop_back();
        } else if (token.kind == Kind::open_comment) {
            problems_.fatal(place(token), "the comment that begins here is never closed");
        } else if (token.kind == Kind::open_text) {
            token.kind = Kind::text;
            problems_.fatal(place(token), "the quote that begins here is never closed");
            return token;
        } else if (token.kind == Kind::include) {
            include(token);
        } else {
            return token;
        }
    }
}

Token Cursor::take() {
    last_ = next_;
    if (next_.kind != Kind::end_of_text) next_ = lex();
    return last_;
}

std::string_view Cursor::span(const Token& from) const {
    if (from.source != last_.source || last_.text.data() < from.text.data()) return {};
    const char* const end = last_.text.data() + last_.text.size();
    return {from.text.data(), static_cast<std::size_t>(end - from.text.data())};
}

void Cursor::include(const Token& keyword) {
    const Token written = lexers_.back().next_path();
    if (written.kind != Kind::text && written.kind != Kind::word)
        return problems_.note(place(keyword), "expected a file behind /include");
    const auto path = include_path(written.text, within_.back() == 0 ? "" : sources_[within_.back()].path);
    if (!path)
        return problems_.note(place(written),
                              fmt::format("{} is not included: {}", brief(written.text), path.error().what));
    enter(written, *path);
}

void Cursor::enter(const Token& written, const std::string& path) {
    const auto refused = [&](const std::string& why) {
        problems_.note(place(written), fmt::format("{} is not included: {}", path, why));
    };
    if (std::ranges::any_of(within_, [&](std::size_t source) { return sources_[source].path == path; }))
        return refused("it includes itself");
    if (lexers_.size() > kIncludesDeep)
        return refused(fmt::format("files include one another deeper than {}", kIncludesDeep));
    if (sources_.size() > kIncludes) return refused(fmt::format("more than {} files are included", kIncludes));
    if (!include_) return refused("only the description itself is at hand");
    auto bytes = include_(path);
    if (!bytes) return refused(bytes.error().what);
    included_bytes_ += bytes->size();
    if (included_bytes_ > kIncludedBytes)
        return refused(fmt::format("all included files hold more than {} bytes", kIncludedBytes));
    auto text = utf8_of(*bytes, path);
    if (!text) return refused(describe(text.error()));
    within_.push_back(sources_.size());
    const Source& source = sources_.emplace_back(Source{path, path, *text ? std::move(**text) : std::move(*bytes)});
    lexers_.emplace_back(source.text, static_cast<std::uint16_t>(within_.back()));
}

Cursor::Item Cursor::item() {
    for (;;) {
        if (begun_) return begun();
        if (closed_) {
            const Token name = *std::exchange(closed_, std::nullopt);
            return close(name);
        }
        if (next_.kind == Kind::end_of_text) {
            never_ended();
            return {.ended = false};
        }
        const Token token = take();
        if (token.kind == Kind::word) return {Item::What::word, token};
        if (token.kind == Kind::text) return {Item::What::text, token};
        if (next_.kind != Kind::word) {
            problems_.note(place(token), fmt::format("expected the name of a block behind {}", brief(token.text)));
            continue;
        }
        const Token name = take();
        if (token.kind == Kind::begin) {
            begun_ = name;
        } else if (std::ranges::any_of(open_, [&](const Token& open) { return open.text == name.text; })) {
            closed_ = name;
        } else {
            problems_.note(place(token), fmt::format("/end {} ends nothing", brief(name.text)));
        }
    }
}

Cursor::Item Cursor::begun() {
    const Token name = *begun_;
    if (open_.size() >= kDeepest) {
        problems_.fatal(place(name), fmt::format("blocks are nested deeper than {}", kDeepest));
        gave_up_ = true;
        lexers_.assign(1, Lexer({}, 0));
        next_ = {.line_start = ""};
        next_.text = {next_.line_start, 0};
    } else if (!skipping_ && open_.size() > kModuleDepth && is_module_block(name.text)) {
        const Token unended = open_.back();
        problems_.note(place(unended), fmt::format("{} has no /end before the {} of line {}", brief(unended.text),
                                                   brief(name.text), name.line));
        open_.pop_back();
        return {.ended = false};
    }
    begun_.reset();
    return {Item::What::block, name};
}

Cursor::Item Cursor::close(const Token& name) {
    const Token opened = open_.back();
    open_.pop_back();
    if (opened.text == name.text) return {};
    problems_.note(place(opened), fmt::format("{} has no /end before the /end {} of line {}", brief(opened.text),
                                              brief(name.text), name.line));
    closed_ = name;
    return {.ended = false};
}

void Cursor::never_ended() {
    if (open_.empty()) return;
    const Token opened = open_.back();
    open_.pop_back();
    if (!gave_up_)
        problems_.fatal(place(opened), fmt::format("the {} that begins here is never ended", brief(opened.text)));
}

void Cursor::skip(const Token& name) {
    const std::size_t depth = open_.size();
    const bool outer = std::exchange(skipping_, true);
    open(name);
    while (open_.size() > depth) {
        const Item inner = item();
        if (inner.what == Item::What::block) open(inner.at);
    }
    skipping_ = outer;
}

void Cursor::skip_foreign(const Token& name) {
    // What was looked at in advance is of the other language too, but for an end.
    if (next_.kind != Kind::end && next_.kind != Kind::end_of_text && next_.source == last_.source) {
        lexers_.back().skip_to_end(name.text);
        next_ = lex();
    }
    skip(name);
}

}  // namespace revwright::a2l
