#include "formats/a2l/problems.h"

#include <algorithm>
#include <fmt/format.h>
#include <utility>

#include "formats/a2l/lexer.h"

namespace revwright::a2l {
namespace {

constexpr std::size_t kKept = 50;
constexpr std::size_t kTold = 6;  // in one error

void shorten(std::string& what) {
    constexpr std::size_t kMost = 1000;
    if (what.size() > kMost) what = std::string(brief(what)) + " ..";
}

}  // namespace

void Problems::fatal(Place place, std::string what) {
    shorten(what);
    if (fatal_.size() < kKept) fatal_.push_back({Fault::bad_input, std::move(what), std::move(place)});
}

void Problems::note(Place place, std::string what) {
    shorten(what);
    if (notes_.size() < kKept)
        notes_.push_back({Fault::bad_input, std::move(what), std::move(place)});
    else
        ++left_out_;
}

Error Problems::error() const {
    std::vector<Error> all = fatal_;
    all.insert(all.end(), notes_.begin(), notes_.end());
    Error told = all.front();
    for (std::size_t i = 1; i < std::min(all.size(), kTold); ++i) told.what += "; " + describe(all[i]);
    if (all.size() > kTold) told.what += fmt::format("; and {} more", all.size() - kTold + left_out_);
    return told;
}

std::vector<std::string> Problems::notes() const {
    std::vector<std::string> told;
    for (const Error& note : notes_) told.push_back(describe(note));
    if (left_out_ > 0) told.push_back(fmt::format("{} more of the kind are not listed", left_out_));
    return told;
}

}  // namespace revwright::a2l
