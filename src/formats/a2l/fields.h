#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "formats/a2l/cursor.h"

namespace revwright::a2l {

/// The text of a token, its escapes resolved: \" and "" are a quote, \n and \t what they are everywhere.
std::string plain(const Token& token);

/// Takes what a block or keyword needs, one after another. The first that is not what it must be is left where it is
/// and reported with its place; after that nothing is taken, and ok() is false.
class Fields {
public:
    /// `block` and `name` say in a report whose fields these are; `name` may be empty.
    Fields(Cursor& cursor, std::string_view block, std::string_view name = {})
        : cursor_(cursor), block_(block), name_(name) {}

    Token word(std::string_view what);
    /// A word that is the name of the block.
    Token name();
    std::string text(std::string_view what);
    double number(std::string_view what);
    std::uint64_t whole(std::string_view what);
    bool ok() const { return ok_; }
    /// "CHARACTERISTIC KF_A" for a sentence.
    std::string whose() const;
    /// Reports that the next token is not what it must be.
    void expected(std::string_view what);

private:
    Cursor& cursor_;
    std::string_view block_, name_;
    bool ok_ = true;
};

}  // namespace revwright::a2l
