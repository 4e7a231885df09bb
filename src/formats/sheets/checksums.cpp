#include <algorithm>
#include <fmt/format.h>

#include "formats/sheets/job_sections.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

constexpr std::array<Word<ChecksumKind>, 5> kKinds{{
    {"sum8", ChecksumKind::sum8},
    {"sum16", ChecksumKind::sum16},
    {"sum32", ChecksumKind::sum32},
    {"crc16", ChecksumKind::crc16},
    {"crc32", ChecksumKind::crc32},
}};
constexpr std::array<Word<ByteOrder>, 2> kOrders{{{"big", ByteOrder::big}, {"little", ByteOrder::little}}};
constexpr std::array<Word<Complement>, 3> kComplements{{
    {"none", Complement::none},
    {"ones", Complement::ones},
    {"twos", Complement::twos},
}};
constexpr std::int64_t kTopAddress = 0xFFFFFFFF;

void read_crc(Fields& fields, ChecksumRegion& region) {
    const std::int64_t top = region.kind == ChecksumKind::crc16 ? 0xFFFF : 0xFFFFFFFF;
    region.polynomial = static_cast<std::uint32_t>(fields.need_whole("polynomial", 1, top));
    region.initial = static_cast<std::uint32_t>(fields.need_whole("initial", 0, top));
    region.final_xor = static_cast<std::uint32_t>(fields.need_whole("final_xor", 0, top));
    fields.need("reflected");
    region.reflected = fields.flag("reflected").value_or(false);
    region.word = 1;
}

void read_sum(Fields& fields, ChecksumRegion& region) {
    region.word =
        static_cast<int>(fields.whole("word", 1, 4).value_or(static_cast<std::int64_t>(stored_bytes(region.kind))));
    if (region.word == 3) fields.report("word", "must be 1, 2 or 4, found 3");
}

/// Keys of the other family are known words in the wrong place, which deserves its own sentence.
void refuse_foreign_keys(Fields& fields, const ChecksumRegion& region) {
    if (is_crc(region.kind)) {
        if (fields.has("word")) fields.report("word", "belongs to a sum, found beside a CRC");
        return;
    }
    for (const char* key : {"polynomial", "initial", "reflected", "final_xor"})
        if (fields.has(key)) fields.report(key, "belongs to a CRC, found beside a sum");
}

void check_region(Fields& fields, const ChecksumRegion& region) {
    if (region.start > region.end) {
        fields.report("end", fmt::format("must not lie before start {:#x}, found {:#x}", region.start, region.end));
        return;
    }
    const std::uint64_t store_end = region.store + stored_bytes(region.kind) - 1;
    if (region.store <= region.end && store_end >= region.start)
        fields.report("store", fmt::format("must lie outside the bytes {:#x} to {:#x} that are summed, found {:#x}",
                                           region.start, region.end, region.store));
    const std::uint64_t bytes = region.end - region.start + 1;
    if (bytes % static_cast<std::uint64_t>(region.word) != 0)
        fields.report("end",
                      fmt::format("must close a whole number of {}-byte words, found {} bytes", region.word, bytes));
}

ChecksumRegion read_region(const Node& node, const std::string& path, Trouble& trouble) {
    Fields fields(node, path, trouble);
    ChecksumRegion region;
    region.where = trouble.place(node.at);
    region.kind = fields.need_choice("kind", kKinds);
    region.start = static_cast<std::uint64_t>(fields.need_whole("start", 0, kTopAddress));
    region.end = static_cast<std::uint64_t>(fields.need_whole("end", 0, kTopAddress));
    region.store = static_cast<std::uint64_t>(
        fields.need_whole("store", 0, kTopAddress - static_cast<std::int64_t>(stored_bytes(region.kind)) + 1));
    region.byte_order = fields.choice("byte_order", kOrders).value_or(ByteOrder::big);
    region.complement = fields.choice("complement", kComplements).value_or(Complement::none);
    if (!trouble.found() && fields.has("kind")) refuse_foreign_keys(fields, region);
    is_crc(region.kind) ? read_crc(fields, region) : read_sum(fields, region);
    fields.finish();
    if (!trouble.found()) check_region(fields, region);
    return region;
}

void check_stores_apart(std::span<const ChecksumRegion> regions, std::span<const Node> nodes, const std::string& path,
                        Trouble& trouble) {
    for (std::size_t i = 0; i < regions.size(); ++i)
        for (std::size_t j = 0; j < i; ++j) {
            const auto& [low, high] =
                std::minmax(regions[i], regions[j], [](const auto& a, const auto& b) { return a.store < b.store; });
            if (low.store + stored_bytes(low.kind) > high.store)
                trouble.report(nodes[i].find("store")->at, fmt::format("{}.store must not overlap the one of line {}",
                                                                       path, regions[j].where.line));
        }
}

}  // namespace

std::vector<ChecksumRegion> read_checksums(std::span<const Node> nodes, const std::string& path, Trouble& trouble) {
    std::vector<ChecksumRegion> regions;
    if (nodes.size() > 256) {
        trouble.report(nodes[256].at, fmt::format("{} must hold 256 regions at most, found {}", path, nodes.size()));
        return regions;
    }
    for (const Node& node : nodes) regions.push_back(read_region(node, path, trouble));
    if (!trouble.found()) check_stores_apart(regions, nodes, path, trouble);
    return regions;
}

}  // namespace revwright::sheets
