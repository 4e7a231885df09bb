#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/error.h"
#include "formats/sheets/document.h"
#include "model/channel.h"

namespace revwright::sheets {

/// The first fault of a sheet. Reading goes on after it with defaults, so that the code of a section needs no branches
/// for bad input; what was read is thrown away in the end.
class Trouble {
public:
    explicit Trouble(std::string file) : file_(std::move(file)) {}
    /// Keeps the sentence if it is the first.
    void report(At at, std::string what);
    bool found() const { return error_.has_value(); }
    const Error& error() const { return *error_; }
    Place place(At at) const { return {file_, at.line, at.column}; }

private:
    std::string file_;
    std::optional<Error> error_;
};

/// A word a sheet may use, and what it stands for.
template <class E>
using Word = std::pair<std::string_view, E>;

/// The keys of one TOML table, taken one at a time. Whatever has not been asked for when finish() is called is an
/// unknown key. `path` is how messages and the table of plausible ranges call it: "car", "car.coastdown".
class Fields {
public:
    Fields(const Node& table, std::string path, Trouble& trouble);

    const std::string& path() const { return path_; }
    At at() const { return table_.at; }
    bool has(std::string_view key) const { return table_.find(key) != nullptr; }
    /// Place of the key's value, of the table where it has no such key.
    At at(std::string_view key) const;
    /// Marks the key as known and gives its value.
    const Node* take(std::string_view key);
    const Node* need(std::string_view key);
    /// The message is prefixed with "path.key ".
    void report(std::string_view key, std::string_view what);

    std::optional<double> number(std::string_view key);
    /// The same against the range of another name: for keys that several tables share.
    std::optional<double> number_within(std::string_view key, std::string_view range);
    double number(std::string_view key, double fallback) { return number(key).value_or(fallback); }
    double need_number(std::string_view key);
    std::vector<double> numbers(std::string_view key);
    /// A finite number without any range.
    std::optional<double> any_number(std::string_view key);
    std::vector<double> any_numbers(std::string_view key);
    /// A whole number from low to high.
    std::optional<std::int64_t> whole(std::string_view key, std::int64_t low, std::int64_t high);
    std::int64_t need_whole(std::string_view key, std::int64_t low, std::int64_t high);
    std::optional<bool> flag(std::string_view key);
    /// A text that is not empty and has no control characters.
    std::optional<std::string> text(std::string_view key);
    std::string need_text(std::string_view key);
    /// A canonical channel, such as "engine_speed_rpm" or "lambda.2".
    std::optional<ChannelKey> channel(std::string_view key);
    ChannelKey need_channel(std::string_view key);
    /// A table under the key.
    const Node* table(std::string_view key);
    /// A list of tables under the key; empty where there is none.
    std::span<const Node> tables(std::string_view key);

    template <class E, std::size_t N>
    std::optional<E> choice(std::string_view key, const std::array<Word<E>, N>& words) {
        std::array<std::string_view, N> names;
        for (std::size_t i = 0; i < N; ++i) names[i] = words[i].first;
        const auto index = choice_index(key, names);
        if (!index) return std::nullopt;
        return words[*index].second;
    }
    template <class E, std::size_t N>
    E need_choice(std::string_view key, const std::array<Word<E>, N>& words) {
        need(key);
        return choice(key, words).value_or(words[0].second);
    }

    /// Reports unknown keys first (a misspelt key is why another is missing), then missing ones. To be called last.
    void finish();

private:
    std::optional<std::size_t> choice_index(std::string_view key, std::span<const std::string_view> names);
    std::optional<double> finite(const Node& node, std::string_view key);
    void check_range(const Node& node, std::string_view key, std::string_view range);

    const Node& table_;
    std::string path_;
    Trouble& trouble_;
    std::vector<std::string_view> known_;
    std::vector<std::string_view> missing_;
};

/// "a", "b" or "c", each in quotes.
std::string joined_choices(std::span<const std::string_view> names);

}  // namespace revwright::sheets
