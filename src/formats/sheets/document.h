#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"

namespace revwright::sheets {

/// Line and column of a sheet, both from 1; 0 = not known. Columns count code points.
struct At {
    std::size_t line = 0;
    std::size_t column = 0;
    friend auto operator<=>(const At&, const At&) = default;
};

/// One value of a TOML file with its place. A plain tree of our own, so that only document.cpp pays for the parser.
struct Node {
    enum class Kind { boolean, whole, real, text, date, list, table };
    Kind kind = Kind::table;
    At at = {};            // of the value; of the header for a [table]
    std::string key = {};  // where it is a member of a table
    At key_at = {};
    bool flag = false;
    std::int64_t whole = 0;
    double real = 0.0;  // also set for whole numbers
    std::string text = {};
    std::vector<Node> items = {};  // of a list in order, of a table in the order of the file

    const Node* find(std::string_view member) const;
};

/// "a number", "a list" ...: what the node is, for a sentence.
std::string_view kind_words(const Node& node);
/// The number itself where it is one, else its kind in words.
std::string shown(const Node& node);

/// Reads TOML 1.0. Errors: a file above 1 MiB, a key of more than 32 parts, values nested deeper than 16, whatever is
/// not TOML or not UTF-8, each with line and column.
Result<Node> read_document(std::string_view text, const std::string& file);

}  // namespace revwright::sheets
