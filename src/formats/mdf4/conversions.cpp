#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "formats/mdf4/conversion.h"

namespace revwright::mdf4 {
namespace {

constexpr int kDeepest = 8;

/// Whether it has the numbers and links its kind needs.
bool complete(const Conversion& found, std::size_t value_count) {
    const std::size_t refs = found.refs.size();
    switch (found.kind) {
        case Conversion::one_to_one:
            return true;
        case Conversion::linear:
            return value_count >= 2;
        case Conversion::rational:
            return value_count >= 6;
        case Conversion::algebraic:
            return refs >= 1 && found.refs[0].text != nullptr;
        case Conversion::table_between:
        case Conversion::table_nearest:
            return value_count >= 2 && value_count % 2 == 0;
        case Conversion::range_to_value:
            return value_count % 3 == 1;
        case Conversion::value_to_text:
            return refs == value_count + 1;
        case Conversion::range_to_text:
            return value_count % 2 == 0 && refs == value_count / 2 + 1;
        case Conversion::text_to_value:
            return value_count == refs + 1;
        case Conversion::text_to_text:
            return refs % 2 == 1;
        case Conversion::bits_to_text:
            return refs == value_count && refs >= 1;
    }
    return false;
}

void sort_keys(Conversion& found, std::size_t step) {
    for (std::size_t i = 0; i + step <= found.values.size(); i += step)
        if (!std::isnan(found.values[i])) found.keys.emplace_back(found.values[i], step == 1 ? i : i + 1);
    std::ranges::stable_sort(found.keys, {}, &std::pair<double, std::size_t>::first);
}

void lay_out_ranges(Conversion& found, std::size_t step) {
    std::vector<Segments::Row> rows;
    for (std::size_t i = 0; i + step <= found.values.size(); i += step)
        rows.push_back({found.values[i], found.values[i + 1]});
    found.whole_ranges = Segments(rows, true);
    found.ranges = Segments(rows, false);
}

void prepare(Conversion& found) {
    // A search, against one multiplication.
    if (found.kind >= Conversion::table_between && found.kind <= Conversion::range_to_text) found.weight += 8;
    switch (found.kind) {
        case Conversion::value_to_text:
            return sort_keys(found, 1);
        case Conversion::table_between:
        case Conversion::table_nearest:
            return sort_keys(found, 2);
        case Conversion::range_to_value:
            return lay_out_ranges(found, 3);
        case Conversion::range_to_text:
            return lay_out_ranges(found, 2);
        case Conversion::text_to_value:
        case Conversion::text_to_text:
        case Conversion::bits_to_text:
            found.weight += found.refs.size();
            return;
        default:
            return;
    }
}

}  // namespace

Result<const Conversion*> Conversions::at(std::uint64_t link, int depth) {
    if (link == 0) return nullptr;
    if (depth > kDeepest)
        return blocks_.refused(link, fmt::format("expected conversions nested at most {} deep, found more", kDeepest));
    if (const auto found = known_.find(link); found != known_.end()) return found->second.get();
    if (blocks_.cut(link)) {
        lost_.cut(fmt::format(
            "a conversion lies at byte {}, behind the end of the file; its channels hold the raw numbers", link));
        return nullptr;
    }
    const auto block = blocks_.share(link, {.id = "CC", .links = 4, .data_bytes = 24});
    if (!block) return tl::unexpected(block.error());
    auto conversion = std::make_unique<Conversion>();
    if (auto read_in = read(*block, *conversion, depth); !read_in) return tl::unexpected(std::move(read_in.error()));
    return known_.emplace(link, std::move(conversion)).first->second.get();
}

Result<void> Conversions::read_refs(const Block& block, Conversion& found, std::size_t count, int depth) {
    for (std::size_t i = 0; i < count; ++i) {
        const std::uint64_t link = block.link(4 + i);
        ConversionRef ref;
        if (link != 0 && blocks_.id_at(link) == "CC") {
            const auto scale = at(link, depth + 1);
            if (!scale) return tl::unexpected(scale.error());
            ref.scale = *scale;
            if (ref.scale != nullptr) found.weight = std::max(found.weight, ref.scale->weight + 1);
        } else if (link != 0) {
            const auto text = texts_.at(link);
            if (!text) return tl::unexpected(text.error());
            ref.text = *text;
        }
        found.refs.push_back(ref);
    }
    return {};
}

Result<void> Conversions::read(const Block& block, Conversion& found, int depth) {
    const auto name = texts_.at(block.link(0)), unit = texts_.at(block.link(1));
    if (!name) return tl::unexpected(name.error());
    if (!unit) return tl::unexpected(unit.error());
    found.name = **name;
    found.unit = **unit;
    const auto kind = block.field<std::uint8_t>(0);
    const std::size_t refs = block.field<std::uint16_t>(4), values = block.field<std::uint16_t>(6);
    if (block.link_count() < 4 + refs || block.data.size() < 24 + 8 * values)
        return blocks_.refused(
            block.at, fmt::format("expected a conversion with {} links and {} numbers, found {} and {}", 4 + refs,
                                  values, block.link_count(), (block.data.size() - 24) / 8));
    if (auto read_in = read_refs(block, found, refs, depth); !read_in) return read_in;
    const auto raw_numbers = [&](const char* why) {
        found = Conversion{.name = std::move(found.name)};
        lost_.add(fmt::format("the conversion in byte {} {}; its channels hold the raw numbers", block.at, why));
    };
    if (kind > Conversion::bits_to_text) return raw_numbers("is of a kind that is not understood"), Result<void>{};
    found.kind = static_cast<Conversion::Kind>(kind);
    for (std::size_t i = 0; i < values; ++i) {
        if (found.kind == Conversion::bits_to_text)
            found.masks.push_back(block.field<std::uint64_t>(24 + 8 * i));
        else
            found.values.push_back(block.field<double>(24 + 8 * i));
    }
    if (!complete(found, values)) return raw_numbers("lacks numbers or links of its kind"), Result<void>{};
    if (found.kind == Conversion::algebraic) {
        auto formula = Expression::parse(*found.refs[0].text);
        if (!formula || formula->inputs() > 1)
            return raw_numbers("is a formula that is not understood"), Result<void>{};
        found.formula = std::move(*formula);
        found.weight = 1 + found.refs[0].text->size() / 2;
    }
    prepare(found);
    return {};
}

}  // namespace revwright::mdf4
