#include <fmt/format.h>

#include "formats/sheets/table_parts.h"

namespace revwright::sheets {
namespace {

constexpr std::array<Word<RawType>, 7> kTypes{{
    {"u8", RawType::u8},
    {"i8", RawType::i8},
    {"u16", RawType::u16},
    {"i16", RawType::i16},
    {"u32", RawType::u32},
    {"i32", RawType::i32},
    {"f32", RawType::f32},
}};
constexpr std::array<Word<ByteOrder>, 2> kOrders{{{"big", ByteOrder::big}, {"little", ByteOrder::little}}};

}  // namespace

std::optional<ByteOrder> read_byte_order(Fields& fields) { return fields.choice("byte_order", kOrders); }

std::uint64_t read_address(Fields& fields) {
    return static_cast<std::uint64_t>(fields.need_whole("address", 0, kTopAddress));
}

Coding read_coding(Fields& fields, std::optional<ByteOrder> fallback) {
    Coding coding;
    coding.type = fields.need_choice("type", kTypes);
    coding.factor = fields.any_number("factor").value_or(1.0);
    if (coding.factor == 0.0) fields.report("factor", "must not be 0: every raw value would mean the same");
    coding.offset = fields.any_number("offset").value_or(0.0);
    const auto own = read_byte_order(fields);
    // Guessing here would turn every number of the table into another one.
    if (!own && !fallback && size_of(coding.type) > 1)
        fields.report("byte_order", "is missing: type has several bytes, and the sheet has no byte_order of its own");
    coding.order = own.value_or(fallback.value_or(ByteOrder::big));
    return coding;
}

}  // namespace revwright::sheets
