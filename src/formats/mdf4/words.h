#pragma once

#include <cstdint>
#include <deque>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace revwright::mdf4 {

/// Distinct texts, numbered in the order they come.
class Words {
public:
    static constexpr std::uint32_t kNone = ~std::uint32_t{0};
    /// `room`: bytes of text all channels of the file may still hold; where it ends no new text is taken.
    explicit Words(std::size_t& room) : room_(&room) {}
    Words(Words&&) = default;  // a deque that is moved keeps its strings where they are
    Words& operator=(Words&&) = default;

    /// Its number; kNone where it is new and there is no room.
    std::uint32_t index_of(std::string_view text) {
        if (last_ != kNone && texts_[last_] == text) return last_;
        const auto found = index_.find(text);
        if (found != index_.end()) return last_ = found->second;
        constexpr std::size_t kOverhead = 128;
        if (text.size() + kOverhead > *room_) {
            full_ = true;
            return kNone;
        }
        *room_ -= text.size() + kOverhead;
        last_ = static_cast<std::uint32_t>(texts_.size());
        index_.emplace(texts_.emplace_back(text), last_);
        return last_;
    }
    const std::deque<std::string>& texts() const { return texts_; }
    bool full() const { return full_; }

private:
    std::size_t* room_;
    bool full_ = false;
    std::uint32_t last_ = kNone;
    std::deque<std::string> texts_;                              // does not move its strings
    std::unordered_map<std::string_view, std::uint32_t> index_;  // into `texts_`; never iterated
};

/// The texts of a VLSD channel: where each begins in the stream of lengths and texts, and which it is.
class SignalTexts {
public:
    explicit SignalTexts(std::size_t& room) : words_(room), room_(&room) {}

    /// The next text of the stream.
    void add(std::span<const std::uint8_t> text) {
        if (*room_ >= sizeof(Entry)) {
            *room_ -= sizeof(Entry);
            entries_.push_back({offset_, words_.index_of({reinterpret_cast<const char*>(text.data()), text.size()})});
        } else {
            full_ = true;
        }
        offset_ += 4 + text.size();
    }
    /// The word whose length stands at `offset`; kNone where none begins there.
    std::uint32_t at_offset(double offset) const;
    std::uint32_t at_index(std::size_t index) const {
        return index < entries_.size() ? entries_[index].word : Words::kNone;
    }
    std::size_t size() const { return entries_.size(); }
    const Words& words() const { return words_; }
    bool full() const { return full_ || words_.full(); }

private:
    struct Entry {
        std::uint64_t offset;
        std::uint32_t word;
    };
    Words words_;
    std::size_t* room_;
    bool full_ = false;
    std::vector<Entry> entries_;
    std::uint64_t offset_ = 0;
};

}  // namespace revwright::mdf4
