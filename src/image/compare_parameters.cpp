#include "image/compare_parameters.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "image/checksum.h"
#include "image/image_pair.h"
#include "image/layout.h"

namespace revwright {
namespace {

using Kind = ParameterDescription::Kind;

/// Bit for bit the same number, or both none.
bool same(double a, double b) { return a == b || (std::isnan(a) && std::isnan(b)); }

/// A number, a word, or the count where there is neither, of cell `flat` of both images.
CellDifference difference_at(const ReadParameter& a, const ReadParameter& b, std::size_t flat) {
    CellDifference cell{.at = index_of(a.shape, flat)};
    if (!a.words.empty()) {
        const auto word = [&](const ReadParameter& read) {
            return read.words[flat].value_or(fmt::format("{:.10g}", read.raw[flat]));
        };
        cell.from_text = word(a);
        cell.to_text = word(b);
        if (!cell.is_text()) cell.from_text = fmt::format("{:.10g}", a.raw[flat]);
        return cell;
    }
    const bool physical = !a.values.empty() && !b.values.empty();
    cell.from = physical ? a.values[flat] : a.raw[flat];
    cell.to = physical ? b.values[flat] : b.raw[flat];
    return cell;
}

TableDifference named(const ReadParameter& read) {
    const bool counts = read.values.empty() && read.words.empty() && !read.text;
    return {.table = read.name,
            .quantity = read.quantity.value_or(ChannelKey{}),
            .unit = counts ? "counts" : read.unit,
            .quantity_known = read.quantity && !counts};
}

class Comparing {
public:
    Comparing(const ParameterSet& set, const ImageParameters& a, const ImageParameters& b, ImagePair& images)
        : set_(set), a_(a), b_(b), images_(images) {}

    std::vector<TableDifference> parameter(std::size_t number) {
        const PlacedParameter& placed = a_.places[number];
        if (!placed.record || !was_read(number)) return {};
        std::vector<TableDifference> found;
        const auto keep = [&](TableDifference difference) {
            if (!difference.cells.empty()) found.push_back(std::move(difference));
        };
        if (set_.parameters[number].kind == Kind::axis_points)
            keep(points_of_axis(number));
        else if (set_.parameters[number].kind == Kind::text)
            keep(text(number));
        else {
            if (placed.record->values) keep(cells(number));
            for (std::size_t d = 0; d < read_a(number).axes.size(); ++d) keep(own_axis(number, d));
        }
        // What differs in its bytes and was told is spoken for; what was not told must not be hidden.
        const bool beside_cells =
            std::ranges::any_of(found, [](const TableDifference& d) { return d.axis.has_value(); }) ||
            set_.parameters[number].kind == Kind::axis_points || set_.parameters[number].kind == Kind::text;
        if (!found.empty() && beside_cells)
            for (const ByteRange range : placed.record->bytes) images_.describe(range);
        return found;
    }

private:
    const ReadParameter& read_a(std::size_t number) const { return a_.reading.parameters[number]; }
    const ReadParameter& read_b(std::size_t number) const { return b_.reading.parameters[number]; }
    bool was_read(std::size_t number) const { return read_a(number).text || !read_a(number).raw.empty(); }

    TableDifference cells(std::size_t number) {
        TableDifference difference = named(read_a(number));
        const PlacedNumbers& numbers = *a_.places[number].record->values;
        const std::uint64_t size = size_of(numbers.type);
        const auto mask = set_.parameters[number].bit_mask;
        const bool big = numbers.order == ByteOrder::big;
        for (std::size_t flat = 0; flat < numbers.cells(); ++flat) {
            const ByteRange range{numbers.address_of(flat), size};
            mask ? images_.describe(range, *mask, big) : images_.describe(range);
            if (mask ? images_.differs(range, *mask, big) : images_.differs(range))
                difference.cells.push_back(difference_at(read_a(number), read_b(number), flat));
        }
        return difference;
    }

    TableDifference points_of_axis(std::size_t number) {
        TableDifference difference = named(read_a(number));
        const ReadParameter &a = read_a(number), &b = read_b(number);
        for (std::size_t i = 0; i < std::min(a.raw.size(), b.raw.size()); ++i)
            if (!same(a.raw[i], b.raw[i])) difference.cells.push_back(difference_at(a, b, i));
        return difference;
    }

    TableDifference text(std::size_t number) {
        TableDifference difference = named(read_a(number));
        if (read_a(number).text != read_b(number).text)
            difference.cells.push_back(
                {.at = {}, .from_text = read_a(number).text.value_or(""), .to_text = read_b(number).text.value_or("")});
        return difference;
    }

    /// Points that lie in the parameter's own record.
    TableDifference own_axis(std::size_t number, std::size_t d) {
        const ReadAxis &a = read_a(number).axes[d], &b = read_b(number).axes[d];
        const bool physical = a.values.size() == a.size() && b.values.size() == b.size();
        TableDifference difference{.table = read_a(number).name,
                                   .axis = d,
                                   .quantity = a.quantity.value_or(ChannelKey{}),
                                   .unit = physical ? a.unit : "counts",
                                   .quantity_known = a.quantity && physical};
        const ParameterAxis::Kind kind = set_.parameters[number].axes[d].kind;
        if (kind != ParameterAxis::Kind::in_record && kind != ParameterAxis::Kind::fixed) return difference;
        for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i)
            if (!same(a.raw[i], b.raw[i]))
                difference.cells.push_back(
                    {.at = {i}, .from = physical ? a.values[i] : a.raw[i], .to = physical ? b.values[i] : b.raw[i]});
        return difference;
    }

    const ParameterSet& set_;
    const ImageParameters& a_;
    const ImageParameters& b_;
    ImagePair& images_;
};

/// Where a parameter lies does not depend on the image, but for counts in memory.
Result<void> placed_alike(const ParameterDescription& parameter, const PlacedParameter& in_a,
                          const PlacedParameter& in_b, const Image& a, const Image& b) {
    if (!in_a.record && !in_b.record) return {};
    const auto place = [&](const Image& image) { return Place{image.file}; };
    if (!in_a.record || !in_b.record) {
        const bool lost_in_b = !in_b.record;
        return refuse(fmt::format("parameter {} can not be compared: in this image {}", parameter.name,
                                  lost_in_b ? in_b.why_not : in_a.why_not),
                      place(lost_in_b ? b : a));
    }
    const auto points = [](const PlacedRecord& record) {
        std::vector<std::size_t> counts;
        for (const PlacedAxis& axis : record.axes)
            if (axis.points > 0) counts.push_back(axis.points);
        return counts;
    };
    if (points(*in_a.record) != points(*in_b.record))
        return refuse(fmt::format("parameter {} has axes of {} points in this image, of {} in {}: its cells can not be "
                                  "held against each other",
                                  parameter.name, fmt::join(points(*in_b.record), " x "),
                                  fmt::join(points(*in_a.record), " x "), a.file),
                      place(b));
    if (in_a.record->bytes != in_b.record->bytes)
        return refuse(fmt::format("parameter {} does not lie where it does in {}: its cells can not be held against "
                                  "each other",
                                  parameter.name, a.file),
                      place(b));
    return {};
}

}  // namespace

Result<Comparison> compare_parameters(const ParameterSet& set, std::span<const ChecksumRegion> regions, const Image& a,
                                      const ImageParameters& in_a, const Image& b, const ImageParameters& in_b) {
    if (const auto alike = comparable(a, b); !alike) return tl::unexpected(alike.error());
    for (std::size_t i = 0; i < set.parameters.size(); ++i)
        if (const auto alike = placed_alike(set.parameters[i], in_a.places[i], in_b.places[i], a, b); !alike)
            return tl::unexpected(alike.error());
    const auto checksums_a = check_all(regions, a), checksums_b = check_all(regions, b);
    if (!checksums_a) return tl::unexpected(checksums_a.error());
    if (!checksums_b) return tl::unexpected(checksums_b.error());

    ImagePair images(a, b);
    Comparison comparison{.a = a.digest, .b = b.digest, .checksums_a = *checksums_a, .checksums_b = *checksums_b};
    Comparing comparing(set, in_a, in_b, images);
    for (std::size_t i = 0; i < set.parameters.size(); ++i)
        for (TableDifference& difference : comparing.parameter(i)) comparison.tables.push_back(std::move(difference));
    for (const ChecksumRegion& region : regions) images.describe(store_range(region));
    comparison.outside = images.undescribed();
    return comparison;
}

}  // namespace revwright
