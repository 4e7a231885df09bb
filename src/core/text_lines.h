#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace revwright {

/// One line of a text, without its end.
struct TextLine {
    std::string_view text;
    std::size_t number = 0;  // from 1
    std::size_t at = 0;      // its first character in the whole text
};

/// How a character is shown in a message: 'a', or byte 0x7F where it cannot be printed.
std::string character_text(char c);

/// The lines of a text that hold something: LF or CR LF ends them, spaces before the end do not count, and blank ones
/// are passed over. For formats of one record a line.
class TextLines {
public:
    explicit TextLines(std::string_view text) : rest_(text) {}

    /// Nothing after the last one. The line is a view into the text.
    std::optional<TextLine> next() {
        while (!rest_.empty()) {
            const std::size_t end = rest_.find('\n'), step = end == std::string_view::npos ? rest_.size() : end + 1;
            TextLine line{rest_.substr(0, end), ++number_, at_};
            rest_.remove_prefix(step);
            at_ += step;
            while (line.text.ends_with('\r') || line.text.ends_with(' ')) line.text.remove_suffix(1);
            if (!line.text.empty()) return line;
        }
        return std::nullopt;
    }
    /// How many lines were passed, blank ones too.
    std::size_t passed() const { return number_; }

private:
    std::string_view rest_;
    std::size_t number_ = 0, at_ = 0;
};

}  // namespace revwright
