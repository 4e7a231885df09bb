#include "formats/sheets/field.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "formats/sheets/plausible.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {

void Trouble::report(At at, std::string what) {
    if (!error_) error_ = Error{Fault::bad_input, std::move(what), place(at)};
}

Fields::Fields(const Node& table, std::string path, Trouble& trouble)
    : table_(table), path_(std::move(path)), trouble_(trouble) {}

At Fields::at(std::string_view key) const {
    const Node* node = table_.find(key);
    return node ? node->at : table_.at;
}

const Node* Fields::take(std::string_view key) {
    if (std::ranges::find(known_, key) == known_.end()) known_.push_back(key);
    return table_.find(key);
}

const Node* Fields::need(std::string_view key) {
    const Node* node = take(key);
    if (!node) missing_.push_back(key);
    return node;
}

void Fields::report(std::string_view key, std::string_view what) {
    trouble_.report(at(key), fmt::format("{}{}{} {}", path_, path_.empty() ? "" : ".", key, what));
}

std::optional<double> Fields::finite(const Node& node, std::string_view key) {
    if (node.kind != Node::Kind::whole && node.kind != Node::Kind::real)
        trouble_.report(node.at, fmt::format("{}.{} must be a number, found {}", path_, key, kind_words(node)));
    else if (!std::isfinite(node.real))
        trouble_.report(node.at, fmt::format("{}.{} must be a finite number, found {}", path_, key, plain(node.real)));
    else
        return node.real;
    return std::nullopt;
}

void Fields::check_range(const Node& node, std::string_view key, std::string_view range) {
    const auto& [name, low, high] = plausible(range);
    if (node.real < low || node.real > high)
        trouble_.report(node.at, fmt::format("{}.{} must lie between {} and {}, found {}", path_, key, plain(low),
                                             plain(high), plain(node.real)));
}

std::optional<double> Fields::any_number(std::string_view key) {
    const Node* node = take(key);
    return node ? finite(*node, key) : std::nullopt;
}

std::optional<double> Fields::number_within(std::string_view key, std::string_view range) {
    const auto value = any_number(key);
    if (value) check_range(*table_.find(key), key, range);
    return value;
}

std::optional<double> Fields::number(std::string_view key) {
    return number_within(key, fmt::format("{}.{}", path_, key));
}

double Fields::need_number(std::string_view key) {
    need(key);
    return number(key, 0.0);
}

std::vector<double> Fields::any_numbers(std::string_view key) {
    std::vector<double> values;
    const Node* list = take(key);
    if (!list) return values;
    if (list->kind != Node::Kind::list)
        report(key, fmt::format("must be a list of numbers, found {}", kind_words(*list)));
    else if (list->items.empty())
        report(key, "must hold one number or more, found an empty list");
    for (const Node& item : list->items) values.push_back(finite(item, key).value_or(0.0));
    return values;
}

std::vector<double> Fields::numbers(std::string_view key) {
    const std::vector<double> values = any_numbers(key);
    if (const Node* list = table_.find(key); list && !trouble_.found())
        for (const Node& item : list->items) check_range(item, key, fmt::format("{}.{}", path_, key));
    return values;
}

std::optional<std::int64_t> Fields::whole(std::string_view key, std::int64_t low, std::int64_t high) {
    const Node* node = take(key);
    if (!node) return std::nullopt;
    if (node->kind == Node::Kind::real)
        report(key, fmt::format("must be a whole number, found {}", plain(node->real)));
    else if (node->kind != Node::Kind::whole)
        report(key, fmt::format("must be a whole number, found {}", kind_words(*node)));
    else if (node->whole < low || node->whole > high)
        report(key, fmt::format("must lie between {} and {}, found {}", low, high, node->whole));
    else
        return node->whole;
    return std::nullopt;
}

std::int64_t Fields::need_whole(std::string_view key, std::int64_t low, std::int64_t high) {
    need(key);
    return whole(key, low, high).value_or(low);
}

std::optional<bool> Fields::flag(std::string_view key) {
    const Node* node = take(key);
    if (!node) return std::nullopt;
    if (node->kind == Node::Kind::boolean) return node->flag;
    report(key, fmt::format("must be true or false, found {}", kind_words(*node)));
    return std::nullopt;
}

std::optional<std::string> Fields::text(std::string_view key) {
    const Node* node = take(key);
    if (!node) return std::nullopt;
    if (node->kind != Node::Kind::text)
        report(key, fmt::format("must be a text in quotes, found {}", kind_words(*node)));
    else if (node->text.empty())
        report(key, "must not be empty");
    else if (std::ranges::any_of(node->text, [](char c) { return (c >= 0 && c < 0x20) || c == 0x7F; }))
        report(key, "must not hold line ends or other control characters");
    else
        return node->text;
    return std::nullopt;
}

std::string Fields::need_text(std::string_view key) {
    need(key);
    return text(key).value_or("");
}

std::optional<ChannelKey> Fields::channel(std::string_view key) {
    const auto name = text(key);
    if (!name) return std::nullopt;
    const auto channel = channel_key(*name);
    if (channel) return channel;
    std::vector<std::string_view> names;
    for (const SignalInfo& signal : all_signals()) names.push_back(signal.name);
    report(key, fmt::format("must be a canonical channel, found {}{}", quoted(*name), did_you_mean(*name, names)));
    return std::nullopt;
}

ChannelKey Fields::need_channel(std::string_view key) {
    need(key);
    return channel(key).value_or(ChannelKey{});
}

const Node* Fields::table(std::string_view key) {
    const Node* node = take(key);
    if (!node || node->kind == Node::Kind::table) return node;
    report(key, fmt::format("must be a table, found {}", kind_words(*node)));
    return nullptr;
}

std::span<const Node> Fields::tables(std::string_view key) {
    const Node* node = take(key);
    if (!node) return {};
    if (node->kind != Node::Kind::list) {
        report(key, fmt::format("must be a list of tables, found {}", kind_words(*node)));
        return {};
    }
    for (const Node& item : node->items)
        if (item.kind != Node::Kind::table) {
            trouble_.report(item.at, fmt::format("{}{}{} must be a list of tables, found {} in it", path_,
                                                 path_.empty() ? "" : ".", key, kind_words(item)));
            return {};
        }
    return node->items;
}

std::optional<std::size_t> Fields::choice_index(std::string_view key, std::span<const std::string_view> names) {
    const auto word = text(key);
    if (!word) return std::nullopt;
    const auto found = std::ranges::find(names, *word);
    if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
    report(key,
           fmt::format("must be {}, found {}{}", joined_choices(names), quoted(*word), did_you_mean(*word, names)));
    return std::nullopt;
}

void Fields::finish() {
    const std::string where = path_.empty() ? "the sheet" : path_;
    for (const Node& member : table_.items) {
        if (trouble_.found()) return;
        if (std::ranges::find(known_, member.key) == known_.end())
            trouble_.report(member.key_at, fmt::format("unknown key {} in {}{}", quoted(member.key), where,
                                                       did_you_mean(member.key, known_)));
    }
    for (const std::string_view key : missing_)
        trouble_.report(table_.at, fmt::format("{} needs {}, found none", where, key));
}

std::string joined_choices(std::span<const std::string_view> names) {
    std::string out;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (i > 0) out += i + 1 == names.size() ? " or " : ", ";
        out += quoted(names[i]);
    }
    return out;
}

}  // namespace revwright::sheets
