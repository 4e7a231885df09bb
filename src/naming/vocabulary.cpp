#include "naming/vocabulary.h"

#include <algorithm>
#include <cassert>
#include <string>
#include <vector>

namespace revwright {
namespace {

struct Entry {
    std::string_view spelling;
    Notions notions;
};

/// Every notion that some word carries, in alphabetical order: its place is its bit.
const std::vector<std::string_view>& all_notions() {
    static const std::vector<std::string_view> notions = [] {
        std::vector<std::string_view> found;
        for (const Word& word : all_words()) {
            std::string_view rest = word.notions;
            while (!rest.empty()) {
                const std::size_t blank = std::min(rest.find(' '), rest.size());
                if (blank > 0) found.push_back(rest.substr(0, blank));
                rest.remove_prefix(std::min(blank + 1, rest.size()));
            }
        }
        std::ranges::sort(found);
        found.erase(std::ranges::unique(found).begin(), found.end());
        assert(found.size() <= kMostNotions);
        return found;
    }();
    return notions;
}

const std::vector<Entry>& dictionary() {
    static const std::vector<Entry> entries = [] {
        std::vector<Entry> made;
        for (const Word& word : all_words()) made.push_back({word.spelling, notions_of(word.notions)});
        std::ranges::sort(made, {}, &Entry::spelling);
        return made;
    }();
    return entries;
}

}  // namespace

Notions notions_of(std::string_view text) {
    Notions set;
    while (!text.empty()) {
        const std::size_t blank = std::min(text.find(' '), text.size());
        if (blank > 0) {
            const auto found = std::ranges::lower_bound(all_notions(), text.substr(0, blank));
            assert(found != all_notions().end() && *found == text.substr(0, blank));
            set.set(static_cast<std::size_t>(found - all_notions().begin()));
        }
        text.remove_prefix(std::min(blank + 1, text.size()));
    }
    return set;
}

const Notions* find_word(std::string_view spelling) {
    const auto found = std::ranges::lower_bound(dictionary(), spelling, {}, &Entry::spelling);
    return found != dictionary().end() && found->spelling == spelling ? &found->notions : nullptr;
}

bool begins_a_word(std::string_view start) {
    const auto found = std::ranges::lower_bound(dictionary(), start, {}, &Entry::spelling);
    return found != dictionary().end() && found->spelling.starts_with(start);
}

}  // namespace revwright
