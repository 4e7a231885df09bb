#pragma once

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

namespace revwright::mdf4 {

/// The sentences about what could not be read. A file with thousands of faults is told of in the first of them.
class Lost {
public:
    void add(std::string sentence) {
        if (sentences_.size() < kMost)
            sentences_.push_back(std::move(sentence));
        else
            ++left_out_;
    }
    /// The file ends too early; without it nothing of the kind was met.
    void cut(std::string sentence) {
        cut_ = true;
        add(std::move(sentence));
    }
    bool was_cut() const { return cut_; }
    const std::vector<std::string>& sentences() const { return sentences_; }
    std::vector<std::string> take() {
        if (left_out_ > 0) sentences_.push_back("and " + std::to_string(left_out_) + " more of the kind");
        return std::move(sentences_);
    }

private:
    static constexpr std::size_t kMost = 200;  // our choice: nobody reads more
    std::vector<std::string> sentences_;
    std::size_t left_out_ = 0;
    bool cut_ = false;
};

}  // namespace revwright::mdf4
