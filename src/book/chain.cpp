#include "book/chain.h"

#include <fmt/format.h>
#include <span>

namespace revwright::book {
namespace {

void put(std::string& text, std::string_view part) {
    text += fmt::format("{}:", part.size());
    text += part;
}

}  // namespace

Digest hash_of(const Row& row) {
    std::string text = "revwright.book/1\n";
    put(text, std::to_string(row.number));
    for (const std::string* part : {&row.at_utc, &row.by, &row.job, &row.record}) put(text, *part);
    put(text, to_hex(row.before));
    return sha256({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

std::string fault_of(const Row& row, const std::optional<Row>& before) {
    const std::uint64_t expected = before ? before->number + 1 : 1;
    if (row.number != expected)
        return fmt::format("entry {} is missing: entry {} follows what comes before it", expected, row.number);
    if (row.before != (before ? before->hash : Digest{}))
        return fmt::format("entry {} does not follow entry {} as that stands now", row.number, expected - 1);
    if (row.hash != hash_of(row)) return fmt::format("entry {} was altered after it was written", row.number);
    return {};
}

}  // namespace revwright::book
