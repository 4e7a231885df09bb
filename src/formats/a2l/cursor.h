#pragma once

#include <cstddef>
#include <deque>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "formats/a2l/lexer.h"
#include "formats/a2l/problems.h"
#include "formats/a2l/reader.h"

namespace revwright::a2l {

/// Walks a description with all it includes, block by block. A block that is not ended where it should be is reported
/// and closed, so that reading goes on behind it.
class Cursor {
public:
    Cursor(std::string_view text, const std::string& file, const IncludeReader& include, Problems& problems);

    /// The next token, with included files in place of the words that name them.
    const Token& peek() const { return next_; }
    Token take();
    Place place(const Token& token) const;
    Problems& problems() { return problems_; }

    /// What stands next in the block that is open: a word, a text, a block within (its name; open() or skip() it), or
    /// the end of the block, which is no longer open then.
    struct Item {
        enum class What { word, text, block, done };
        What what = What::done;
        Token at = {};
        bool ended = true;  // of done: false where the block's own /end is missing
    };
    Item item();
    void open(const Token& name) { open_.push_back(name); }
    /// Passes over a block with all that is in it.
    void skip(const Token& name);
    /// Passes over a block whose insides are of another language.
    void skip_foreign(const Token& name);
    /// The text from a token to the last one that was taken; empty where they are in different files.
    std::string_view span(const Token& from) const;

private:
    struct Source {
        std::string file = {};
        std::string path = {};  // from the folder of the description
        std::string text = {};  // of an included file
    };

    Token lex();
    void include(const Token& keyword);
    void enter(const Token& keyword, const std::string& path);
    Item begun();
    Item close(const Token& name);
    void never_ended();

    const IncludeReader& include_;
    Problems& problems_;
    std::deque<Source> sources_ = {};
    std::vector<Lexer> lexers_ = {};
    std::vector<std::size_t> within_ = {};  // the source of each lexer
    std::vector<Token> open_ = {};
    std::optional<Token> begun_ = {}, closed_ = {};  // met too early: kept for the block around
    std::size_t included_bytes_ = 0;
    bool skipping_ = false, gave_up_ = false;
    Token next_ = {}, last_ = {};
};

}  // namespace revwright::a2l
