#include <fmt/format.h>

#include "formats/a2l/blocks.h"
#include "formats/a2l/numbers.h"

namespace revwright::a2l {
namespace {

using What = Cursor::Item::What;

void read_formula(Cursor& cursor, const Token& block, RawConversion& conversion) {
    Fields fields(cursor, block.text, conversion.name.text);
    conversion.formula = fields.text("a formula");
    if (!fields.ok()) because(conversion.why_not, "its FORMULA is not understood");
    finish(cursor);
}

void keyword(Fields& fields, std::string_view word, RawConversion& conversion) {
    const auto numbers = [&](std::vector<double>& into, std::size_t count) {
        into.clear();
        for (std::size_t i = 0; i < count; ++i) into.push_back(fields.number("a coefficient"));
    };
    if (word == "COEFFS") return numbers(conversion.coefficients, 6);
    if (word == "COEFFS_LINEAR") return numbers(conversion.linear, 2);
    if (word == "COMPU_TAB_REF") conversion.table = fields.word("the name of a table");
    if (word == "REF_UNIT") conversion.unit_ref = fields.word("the name of a unit");
    if (word == "STATUS_STRING_REF") {
        fields.word("the name of a table");
        because(conversion.why_not, "some of its values are words (STATUS_STRING_REF), which is not understood");
    }
}

/// The rows of a table up to its keywords or its end: numbers, and a text where there is one. `row` takes a row and
/// says whether it is complete.
template <class Row>
std::uint64_t read_rows(Cursor& cursor, Fields& fields, std::uint64_t count, Row row) {
    std::uint64_t read = 0;
    while (read < count && cursor.peek().kind == Token::Kind::word && number_of(cursor.peek().text)) {
        row();
        if (!fields.ok()) break;
        ++read;
    }
    return read;
}

/// What stands behind the rows of a table.
template <class Keyword>
void read_rest(Cursor& cursor, std::string& why_not, std::string_view kind, Keyword keyword) {
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) {
            if (!item.ended) because(why_not, unended(kind));
            return;
        }
        if (item.what == What::block) cursor.skip(item.at);
        if (item.what != What::word) continue;
        if (number_of(item.at.text)) because(why_not, "it has more rows than it says");
        Fields optional(cursor, item.at.text);
        keyword(optional, item.at.text);
        if (!optional.ok()) because(why_not, fmt::format("its {} is not understood", brief(item.at.text)));
    }
}

void check_count(std::uint64_t said, std::uint64_t read, std::string& why_not) {
    if (said != read) because(why_not, fmt::format("it says {} rows and has {}", said, read));
}

}  // namespace

std::optional<RawConversion> read_conversion(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawConversion conversion;
    conversion.name = fields.name();
    fields.text("a long identifier");
    conversion.kind = fields.word("a kind of conversion");
    fields.text("a format");
    conversion.unit = fields.text("a unit");
    if (!fields.ok()) because(conversion.why_not, "it is not complete");
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == What::done) {
            if (!item.ended) because(conversion.why_not, unended(block.text));
            break;
        }
        if (item.what == What::block) {
            if (item.at.text == "FORMULA") {
                cursor.open(item.at);
                read_formula(cursor, item.at, conversion);
            } else {
                cursor.skip(item.at);
            }
        }
        if (item.what != What::word) continue;
        Fields optional(cursor, item.at.text, conversion.name.text);
        keyword(optional, item.at.text, conversion);
        if (!optional.ok()) because(conversion.why_not, fmt::format("its {} is not understood", brief(item.at.text)));
    }
    return conversion.name.text.empty() ? std::nullopt : std::optional(std::move(conversion));
}

std::optional<std::pair<Token, RawTable>> read_number_table(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawTable table;
    const Token name = fields.name();
    fields.text("a long identifier");
    table.kind = fields.word("TAB_INTP or TAB_NOINTP");
    const std::uint64_t count = fields.whole("how many rows");
    const std::uint64_t read = read_rows(cursor, fields, count, [&] {
        table.rows.counts.push_back(fields.number("a count"));
        table.rows.values.push_back(fields.number("a value"));
    });
    if (!fields.ok()) because(table.why_not, "it is not complete");
    check_count(count, read, table.why_not);
    read_rest(cursor, table.why_not, block.text, [&](Fields& optional, std::string_view word) {
        if (word == "DEFAULT_VALUE_NUMERIC") table.rows.otherwise = optional.number("a value");
        if (word == "DEFAULT_VALUE") optional.text("a word");
    });
    if (name.text.empty()) return std::nullopt;
    return std::pair(name, std::move(table));
}

std::optional<std::pair<Token, RawWords>> read_words(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    RawWords words;
    const bool ranges = block.text == "COMPU_VTAB_RANGE";
    const Token name = fields.name();
    fields.text("a long identifier");
    if (!ranges) fields.word("TAB_VERB");
    const std::uint64_t count = fields.whole("how many rows");
    const std::uint64_t read = read_rows(cursor, fields, count, [&] {
        WordConversion::Row row;
        row.low = fields.number("a count");
        row.high = ranges ? fields.number("a count") : row.low;
        row.word = fields.text("a word");
        if (fields.ok()) words.rows.rows.push_back(std::move(row));
    });
    if (!fields.ok()) because(words.why_not, "it is not complete");
    check_count(count, read, words.why_not);
    read_rest(cursor, words.why_not, block.text, [&](Fields& optional, std::string_view word) {
        if (word == "DEFAULT_VALUE") words.rows.otherwise = optional.text("a word");
    });
    if (name.text.empty()) return std::nullopt;
    return std::pair(name, std::move(words));
}

std::optional<std::pair<Token, RawUnit>> read_unit(Cursor& cursor, const Token& block) {
    Fields fields(cursor, block.text);
    const Token name = fields.name();
    fields.text("a long identifier");
    RawUnit unit{fields.text("how it is shown")};
    finish(cursor);
    if (!fields.ok()) return std::nullopt;
    return std::pair(name, std::move(unit));
}

}  // namespace revwright::a2l
