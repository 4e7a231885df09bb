#include "wire/image_json.h"

#include <algorithm>

#include "wire/json.h"
#include "wire/tables_json.h"

namespace revwright::wire {
namespace {

Json roles_json(const ImageEntry& entry, const std::string& table) {
    Json names = Json::array();
    for (const Role role : roles_of(entry, table)) names.push_back(to_string(role));
    return names;
}

Json table_json(const TableDifference& table, const ImageEntry& entry) {
    Json cells = Json::array();
    const auto side = [](double value, const std::string& text, bool is_text) {
        return is_text ? Json(text) : number(value);
    };
    for (const CellDifference& cell : table.cells)
        cells.push_back({{"at", cell.at},
                         {"from", side(cell.from, cell.from_text, cell.is_text())},
                         {"to", side(cell.to, cell.to_text, cell.is_text())},
                         {"unit", table.unit_text()}});
    return {{"table", table.name()}, {"roles", roles_json(entry, table.table)}, {"cells", std::move(cells)}};
}

Json warrant_json(const ChangedCell& cell) {
    return {{"role", to_string(cell.role)},
            {"table", cell.table},
            {"at", cell.at},
            {"from", number(cell.from)},
            {"to", number(cell.to)},
            {"unit", cell.unit},
            {"raw_from", number(cell.raw_from)},
            {"raw_to", number(cell.raw_to)},
            {"address", cell.address},
            {"bound", to_string(cell.bound)},
            {"evidence",
             {{"pulls", number(cell.evidence.pulls)},
              {"events", number(cell.evidence.events)},
              {"knock_rate_upper", number(cell.evidence.knock_rate_upper)}}},
            {"text", cell.text},
            {"by", cell.by},
            {"at_utc", cell.at_utc}};
}

Json patch_json(const Patch& patch) {
    Json entries = Json::array();
    for (const PatchEntry& entry : patch.entries)
        entries.push_back(
            {{"address", entry.address}, {"parent", to_hex(entry.parent)}, {"child", to_hex(entry.child)}});
    return entries;
}

}  // namespace

std::string compare_json(const Comparison& comparison, const ImageEntry& entry) {
    Json tables = Json::array(), checksums = Json::array(), outside = Json::array();
    for (const TableDifference& table : comparison.tables) tables.push_back(table_json(table, entry));
    for (std::size_t i = 0; i < comparison.checksums_a.size(); ++i)
        checksums.push_back({{"store", comparison.checksums_a[i].store},
                             {"ok_a", comparison.checksums_a[i].ok()},
                             {"ok_b", comparison.checksums_b[i].ok()}});
    for (const ByteRange& range : comparison.outside)
        outside.push_back({{"address", range.address}, {"length", range.length}});
    return print({{"schema", "revwright.compare/1"},
                  {"a_sha256", to_hex(comparison.a)},
                  {"b_sha256", to_hex(comparison.b)},
                  {"tables", std::move(tables)},
                  {"checksums", std::move(checksums)},
                  {"outside", std::move(outside)}});
}

std::string revision_json(const BuiltImage& built) {
    Json cells = Json::array(), checksums = Json::array();
    for (const ChangedCell& cell : built.cells) cells.push_back(warrant_json(cell));
    for (const ChangedChecksum& checksum : built.checksums)
        checksums.push_back({{"store", checksum.store}, {"from", checksum.from}, {"to", checksum.to}});
    return print({{"schema", "revwright.revision/1"},
                  {"parent_sha256", to_hex(built.parent)},
                  {"sha256", to_hex(built.image.digest)},
                  {"cells", std::move(cells)},
                  {"checksums", std::move(checksums)},
                  {"inverse", patch_json(built.inverse)}});
}

}  // namespace revwright::wire
