#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/error.h"

namespace revwright::a2l {

/// What was wrong in the text, in the order it was met; the first of them are kept.
class Problems {
public:
    /// The file cannot be used.
    void fatal(Place place, std::string what);
    /// One thing in the file cannot be used.
    void note(Place place, std::string what);
    bool any_fatal() const { return !fatal_.empty(); }

    /// What makes the file unusable and what else was met: the first few, each with its place. Precondition:
    /// any_fatal().
    Error error() const;
    /// One sentence each, with its place, and how many more there are.
    std::vector<std::string> notes() const;

private:
    std::vector<Error> fatal_ = {}, notes_ = {};
    std::size_t left_out_ = 0;
};

}  // namespace revwright::a2l
