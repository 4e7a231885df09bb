#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace revwright::cli::text {

inline constexpr std::size_t kPageWidth = 100;

/// Columns set side by side, each as wide as its widest cell. Numbers (cells that begin with a digit, + or -) are set
/// right. Width counts code points, so that an umlaut takes one place.
class Columns {
public:
    explicit Columns(std::vector<std::string> head) : rows_{std::move(head)} {}
    void add(std::vector<std::string> row) { rows_.push_back(std::move(row)); }
    bool empty() const { return rows_.size() < 2; }
    /// Each line begins with `indent` blanks and has none at its end.
    std::string print(std::size_t indent) const;

private:
    std::vector<std::vector<std::string>> rows_;
};

/// Words set in lines of at most kPageWidth, each line after `indent` blanks.
std::string paragraph(std::string_view words, std::size_t indent);

std::size_t width_of(std::string_view utf8);

/// A number with so many decimals, "-" where there is none. The minus is a plain hyphen: terminals copy it.
std::string fixed(double value, int decimals);
/// The same with a sign always, for margins and changes.
std::string with_sign(double value, int decimals);
/// Decimals that suit a value of this unit: 3 for lambda, 1 for degrees, 0 for rpm and kPa ...
int decimals_of(std::string_view unit);
/// "1 pull", "3 pulls".
std::string count(std::size_t n, std::string_view singular);

}  // namespace revwright::cli::text
