#include "cli/text/compare_text.h"

#include <algorithm>
#include <fmt/format.h>

#include "cli/text/layout.h"

namespace revwright::cli::text {
namespace {

std::string index_text(const CellIndex& at) {
    std::string text;
    for (const std::size_t index : at) text += (text.empty() ? "" : ", ") + std::to_string(index);
    return text.empty() ? "value" : text;
}

std::string table_text(const TableDifference& table) {
    const std::string_view unit = table.unit_text();
    const int decimals = std::max(2, decimals_of(unit));
    Columns columns({"cell", "old", "new", "change"});
    for (const CellDifference& cell : table.cells)
        if (cell.is_text())
            columns.add({index_text(cell.at), cell.from_text, cell.to_text, ""});
        else
            columns.add({index_text(cell.at), fixed(cell.from, decimals), fixed(cell.to, decimals),
                         with_sign(cell.to - cell.from, decimals)});
    return fmt::format("\n{}: {}{}\n", table.name(), count(table.cells.size(), "cell"),
                       unit == "1" || unit.empty() ? std::string() : fmt::format(", {}", unit)) +
           columns.print(2);
}

std::string checksum_text(const std::vector<ChecksumState>& checksums, std::string_view which) {
    std::string text;
    for (const ChecksumState& checksum : checksums)
        if (!checksum.ok())
            text += fmt::format("  checksum at {:#x} of image {}: expected {:#x}, found {:#x}\n", checksum.store, which,
                                checksum.expected, checksum.found);
    return text;
}

}  // namespace

std::string compare_text(const Comparison& comparison) {
    std::string text = fmt::format("a  {}\nb  {}\n", to_hex(comparison.a), to_hex(comparison.b));
    if (comparison.a == comparison.b) return text + "\nThe images are the same, byte for byte.\n";
    for (const TableDifference& table : comparison.tables) text += table_text(table);
    if (comparison.tables.empty()) text += "\nNo table differs.\n";
    const std::string broken = checksum_text(comparison.checksums_a, "a") + checksum_text(comparison.checksums_b, "b");
    text += broken.empty() ? fmt::format("\nAll {} hold in both images.\n",
                                         count(comparison.checksums_a.size(), "declared checksum"))
                           : "\nChecksums that do not hold\n" + broken;
    if (comparison.outside.empty()) return text + "No byte differs outside tables and checksums.\n";
    text += "Bytes that differ outside any table\n";
    for (const ByteRange& range : comparison.outside)
        text += fmt::format("  {} from {:#x}\n", count(range.length, "byte"), range.address);
    return text;
}

std::string built_text(const BuiltImage& built, const std::string& out) {
    return fmt::format(
        "{}: {} changed, {} settled, read back and compared: no other byte moved\n"
        "  parent  {}\n  image   {}\n  record  {}.json\n",
        out, count(built.cells.size(), "cell"), count(built.checksums.size(), "checksum"), to_hex(built.parent),
        to_hex(built.image.digest), out);
}

}  // namespace revwright::cli::text
