#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/error.h"
#include "formats/mdf4/blocks.h"
#include "formats/mdf4/lost.h"
#include "formats/mdf4/segments.h"
#include "formats/mdf4/texts.h"
#include "numeric/expression.h"

namespace revwright::mdf4 {

struct Conversion;

/// What a row of a table leads to: a text, another conversion of the same raw value, or nothing.
struct ConversionRef {
    const std::string* text = nullptr;
    const Conversion* scale = nullptr;
    bool empty() const { return text == nullptr && scale == nullptr; }
};

/// What a conversion makes of a value: a number, or a text.
struct Outcome {
    double number = 0.0;
    const std::string* text = nullptr;
};

/// A CC block. Source: ASAM MDF 4.2, block CC; formulas as quoted by the open library ihedvall/mdflib.
struct Conversion {
    enum Kind : std::uint8_t {
        one_to_one,
        linear,          // values[0] + values[1] raw
        rational,        // (v0 x^2 + v1 x + v2) / (v3 x^2 + v4 x + v5) of the raw x
        algebraic,       // formula
        table_between,   // keys and values, linear between, constant outside
        table_nearest,   // the nearest key, the lower of two
        range_to_value,  // low, high, value; the last is the default
        value_to_text,   // a key for each ref, the last ref is the default
        range_to_text,   // low, high for each ref, the last ref is the default
        text_to_value,   // a ref for each value, the last value is the default
        text_to_text,    // pairs of refs, the last ref is the default
        bits_to_text,    // a mask for each ref, itself a table of texts
    };
    Kind kind = one_to_one;
    std::vector<double> values = {};
    std::vector<std::uint64_t> masks = {};  // of bits_to_text
    std::vector<ConversionRef> refs = {};
    std::optional<Expression> formula = {};
    std::string name = {}, unit = {};
    std::vector<std::pair<double, std::size_t>> keys = {};  // sorted; what they lead to
    Segments whole_ranges = {}, ranges = {};
    std::size_t weight = 1;  // how many times the work of a linear one

    /// Numbers to numbers, always.
    bool numeric() const { return kind <= range_to_value; }
    /// Of texts.
    bool reads_texts() const { return kind == text_to_value || kind == text_to_text; }
    /// Takes numbers and may give texts.
    bool gives_texts() const { return !numeric() && !reads_texts(); }
    /// Precondition: numeric(). `whole`: the values come from an integer.
    void apply(std::span<double> values_of_channel, bool whole) const;
    /// Precondition: takes numbers, and is no bits_to_text. A text may be empty: no word, no number.
    Outcome of(double raw, bool whole) const;
    /// Precondition: bits_to_text. "name = text" of each table of bits, or the text alone, joined by " | ".
    std::string of_bits(std::uint64_t raw) const;
    /// Precondition: reads_texts().
    Outcome of(const std::string& raw) const;
    /// The unit of its numbers: its own, else that of the first scale it leads to.
    const std::string& unit_of_numbers() const;
    /// Its texts are codes of a status beside numbers it otherwise gives ("not available" beside a scale): few, and a
    /// scale is there.
    bool numbers_with_status() const;
};

/// The conversions of a file. Each is read once, however often it is linked.
class Conversions {
public:
    Conversions(Blocks& blocks, Texts& texts, Lost& lost) : blocks_(blocks), texts_(texts), lost_(lost) {}
    /// nullptr for link 0 and where the file is cut before it; one not understood changes nothing, which is said. Lives
    /// as long as this does. Errors: a block that is none, links in a circle or nested more than 8 deep.
    Result<const Conversion*> at(std::uint64_t link) { return at(link, 0); }

private:
    Result<const Conversion*> at(std::uint64_t link, int depth);
    Result<void> read(const Block& block, Conversion& found, int depth);
    Result<void> read_refs(const Block& block, Conversion& found, std::size_t count, int depth);

    Blocks& blocks_;
    Texts& texts_;
    Lost& lost_;
    std::map<std::uint64_t, std::unique_ptr<Conversion>> known_;
};

}  // namespace revwright::mdf4
