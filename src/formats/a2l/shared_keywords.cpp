#include <algorithm>
#include <array>
#include <limits>

#include "formats/a2l/blocks.h"
#include "formats/a2l/numbers.h"

namespace revwright::a2l {
namespace {

struct TypeWord {
    std::string_view word;
    StoredType type;
};
constexpr std::array<TypeWord, 11> kTypes = {{{"UBYTE", StoredType::u8},
                                              {"SBYTE", StoredType::i8},
                                              {"UWORD", StoredType::u16},
                                              {"SWORD", StoredType::i16},
                                              {"ULONG", StoredType::u32},
                                              {"SLONG", StoredType::i32},
                                              {"A_UINT64", StoredType::u64},
                                              {"A_INT64", StoredType::i64},
                                              {"FLOAT16_IEEE", StoredType::f16},
                                              {"FLOAT32_IEEE", StoredType::f32},
                                              {"FLOAT64_IEEE", StoredType::f64}}};

/// Keywords that mean nothing to a table, and how many words or texts stand behind each.
struct Passed {
    std::string_view keyword;
    int taken;
};
constexpr std::array<Passed, 12> kPassed = {{{"FORMAT", 1},
                                             {"DISPLAY_IDENTIFIER", 1},
                                             {"REF_MEMORY_SEGMENT", 1},
                                             {"COMPARISON_QUANTITY", 1},
                                             {"MONOTONY", 1},
                                             {"STEP_SIZE", 1},
                                             {"MAX_GRAD", 1},
                                             {"MAX_REFRESH", 2},
                                             {"MODEL_LINK", 1},
                                             {"SYMBOL_LINK", 2},
                                             {"SYMBOL_TYPE_LINK", 1},
                                             {"EXTENDED_LIMITS", 2}}};

}  // namespace

OrderWord read_order(Fields& fields) {
    const Token word = fields.word("a byte order");
    if (word.text == "MSB_FIRST") return OrderWord::big;
    if (word.text == "MSB_LAST") return OrderWord::little;
    if (word.text == "BIG_ENDIAN") return OrderWord::unsure_big;
    if (word.text == "LITTLE_ENDIAN") return OrderWord::unsure_little;
    return OrderWord::mixed;
}

bool read_deposit(Fields& fields) { return fields.word("ABSOLUTE or DIFFERENCE").text == "DIFFERENCE"; }

unsigned read_extension(Fields& fields) {
    const double extension = fields.number("an address extension");
    constexpr double kMost = 2147483648.0;
    if (extension <= -kMost || extension >= kMost) return std::numeric_limits<unsigned>::max();
    return static_cast<unsigned>(static_cast<std::int64_t>(extension));
}

std::vector<std::size_t> read_matrix(Fields& fields, Cursor& cursor) {
    constexpr std::size_t kMost = 8;
    std::vector<std::size_t> matrix;
    do {
        matrix.push_back(static_cast<std::size_t>(fields.whole("a size")));
    } while (fields.ok() && matrix.size() < kMost && cursor.peek().kind == Token::Kind::word &&
             whole_of(cursor.peek().text));
    while (matrix.size() > 1 && matrix.back() == 1) matrix.pop_back();
    return matrix;
}

std::optional<StoredType> stored_type(std::string_view word) {
    const auto at = std::ranges::find(kTypes, word, &TypeWord::word);
    return at == kTypes.end() ? std::nullopt : std::optional(at->type);
}

std::vector<StoredType> aligned_types(std::string_view keyword) {
    if (keyword == "ALIGNMENT_BYTE") return {StoredType::u8, StoredType::i8};
    if (keyword == "ALIGNMENT_WORD") return {StoredType::u16, StoredType::i16};
    if (keyword == "ALIGNMENT_LONG") return {StoredType::u32, StoredType::i32};
    if (keyword == "ALIGNMENT_INT64") return {StoredType::u64, StoredType::i64};
    if (keyword == "ALIGNMENT_FLOAT16_IEEE") return {StoredType::f16};
    if (keyword == "ALIGNMENT_FLOAT32_IEEE") return {StoredType::f32};
    if (keyword == "ALIGNMENT_FLOAT64_IEEE") return {StoredType::f64};
    return {};
}

void read_alignment(Fields& fields, std::string_view keyword, Alignments& alignments) {
    const std::uint64_t border = fields.whole("an alignment in bytes");
    constexpr std::uint64_t kMost = 4096;
    if (fields.ok() && (border == 0 || border > kMost)) fields.expected("an alignment from 1 to 4096 before");
    if (!fields.ok()) return;
    for (const StoredType type : aligned_types(keyword)) alignments[type] = static_cast<std::size_t>(border);
}

bool pass_keyword(Cursor& cursor, std::string_view keyword) {
    const auto at = std::ranges::find(kPassed, keyword, &Passed::keyword);
    if (at == kPassed.end()) return false;
    const auto is_value = [&] {
        return cursor.peek().kind == Token::Kind::word || cursor.peek().kind == Token::Kind::text;
    };
    for (int i = 0; i < at->taken && is_value(); ++i) cursor.take();
    return true;
}

void finish(Cursor& cursor) {
    for (;;) {
        const Cursor::Item item = cursor.item();
        if (item.what == Cursor::Item::What::done) return;
        if (item.what == Cursor::Item::What::block) cursor.skip(item.at);
    }
}

std::string unended(std::string_view kind) { return "its " + std::string(kind) + " block has no /end"; }

}  // namespace revwright::a2l
