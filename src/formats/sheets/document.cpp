#include "formats/sheets/document.h"

#include <algorithm>
#include <fmt/format.h>
#include <optional>
#include <tuple>

#define TOML_EXCEPTIONS 0
#define TOML_HEADER_ONLY 1
#define TOML_ENABLE_FORMATTERS 0
// Both trees are taken down by recursion: a sheet has no use for depth, and a hostile one could exhaust the stack.
#define TOML_MAX_NESTED_VALUES 16
#include <toml++/toml.h>

#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

constexpr std::size_t kMaxBytes = 1u << 20;
constexpr std::size_t kMaxDots = 31;

At place_of(const toml::source_region& region) { return {region.begin.line, region.begin.column}; }

/// The parser bounds the depth of values, but not of dotted keys: a.a.a.a ... is one table within another. Dots are
/// counted since the last sign that ends a key; inside a quoted text, where they are harmless, they count for nothing.
std::optional<At> place_of_deep_key(std::string_view text) {
    std::size_t dots = 0;
    At at{1, 1};
    for (const char c : text) {
        if (c == '.' && ++dots > kMaxDots) return at;
        const bool between_keys = c == '.' || c == ' ' || c == '\t';
        const bool in_key = static_cast<unsigned char>(c) >= 0x80 || std::string_view("\"'-_\\").contains(c) ||
                            (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        if (!between_keys && !in_key) dots = 0;
        at = c == '\n' ? At{at.line + 1, 1} : At{at.line, at.column + 1};
    }
    return std::nullopt;
}

Node convert(const toml::node& source);

void add_members(Node& node, const toml::table& table) {
    for (const auto& [key, value] : table) {
        Node& member = node.items.emplace_back(convert(value));
        member.key = std::string(key.str());
        member.key_at = place_of(key.source());
        // A table made by a dotted key or a [a.b] header has no place of its own.
        if (member.at.line == 0) member.at = member.key_at;
    }
    // The parser sorts by name; errors and outputs go by the order of the file.
    std::ranges::sort(node.items, {}, [](const Node& member) { return std::tie(member.key_at, member.key); });
}

Node convert(const toml::node& source) {
    Node node{.at = place_of(source.source())};
    switch (source.type()) {
        case toml::node_type::table:
            add_members(node, *source.as_table());
            break;
        case toml::node_type::array:
            node.kind = Node::Kind::list;
            for (const toml::node& item : *source.as_array()) node.items.push_back(convert(item));
            break;
        case toml::node_type::string:
            node.kind = Node::Kind::text;
            node.text = source.as_string()->get();
            break;
        case toml::node_type::integer:
            node.kind = Node::Kind::whole;
            node.whole = source.as_integer()->get();
            node.real = static_cast<double>(node.whole);
            break;
        case toml::node_type::floating_point:
            node.kind = Node::Kind::real;
            node.real = source.as_floating_point()->get();
            break;
        case toml::node_type::boolean:
            node.kind = Node::Kind::boolean;
            node.flag = source.as_boolean()->get();
            break;
        default:
            node.kind = Node::Kind::date;
    }
    return node;
}

/// "Error while parsing key-value pair: expected ..." as "not valid TOML (key-value pair): expected ...".
std::string syntax_sentence(std::string_view description) {
    if (description.contains("maximum nested value depth"))
        return fmt::format("values may be nested {} deep at most, found more", TOML_MAX_NESTED_VALUES);
    constexpr std::string_view kPreamble = "Error while parsing ";
    const std::size_t colon = description.find(": ");
    if (!description.starts_with(kPreamble) || colon == std::string_view::npos)
        return fmt::format("not valid TOML: {}", printable(description, 200));
    return fmt::format("not valid TOML ({}): {}", description.substr(kPreamble.size(), colon - kPreamble.size()),
                       printable(description.substr(colon + 2), 200));
}

}  // namespace

const Node* Node::find(std::string_view member) const {
    const auto found = std::ranges::find(items, member, &Node::key);
    return found == items.end() ? nullptr : &*found;
}

std::string_view kind_words(const Node& node) {
    switch (node.kind) {
        case Node::Kind::boolean:
            return "true or false";
        case Node::Kind::whole:
        case Node::Kind::real:
            return "a number";
        case Node::Kind::text:
            return "a text";
        case Node::Kind::date:
            return "a date or time";
        case Node::Kind::list:
            return "a list";
        case Node::Kind::table:
            return "a table";
    }
    return "something else";
}

std::string shown(const Node& node) {
    if (node.kind == Node::Kind::whole) return fmt::to_string(node.whole);
    if (node.kind == Node::Kind::real) return plain(node.real);
    return std::string(kind_words(node));
}

Result<Node> read_document(std::string_view text, const std::string& file) {
    if (text.size() > kMaxBytes)
        return refuse(fmt::format("a sheet has at most {} bytes, found {}", kMaxBytes, text.size()), Place{file});
    if (const auto deep = place_of_deep_key(text))
        return refuse(fmt::format("a key has at most {} parts, found more", kMaxDots + 1),
                      Place{file, deep->line, deep->column});
    const toml::parse_result parsed = toml::parse(text);
    if (!parsed) {
        const At at = place_of(parsed.error().source());
        return refuse(syntax_sentence(parsed.error().description()), Place{file, at.line, at.column});
    }
    Node root = convert(parsed.table());
    root.at = {1, 1};
    return root;
}

}  // namespace revwright::sheets
