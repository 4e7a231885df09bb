#include "image/parameter_layout.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <utility>

#include "image/layout.h"
#include "image/stored_number.h"

namespace revwright {
namespace {

using Kind = RecordItem::Kind;
using Order = RecordItem::Order;

constexpr std::array<const char*, kMostAxes> kAxisNames{"X", "Y", "Z", "Z4", "Z5"};

/// Bytes from one index to the next, for each dimension; the cell itself takes `size`.
std::vector<std::uint64_t> strides(const std::vector<std::size_t>& shape, Order order, std::uint64_t size) {
    std::vector<std::size_t> fastest_first(shape.size());
    for (std::size_t d = 0; d < shape.size(); ++d) fastest_first[d] = d;
    if (order == Order::column_dir && shape.size() > 1) std::swap(fastest_first[0], fastest_first[1]);
    std::vector<std::uint64_t> stride(shape.size());
    for (const std::size_t d : fastest_first) {
        stride[d] = size;
        size *= shape[d];
    }
    return stride;
}

bool alternates(Order order) { return order == Order::alternate_with_x || order == Order::alternate_with_y; }

/// Walks through the items of one record.
class Walk {
public:
    Walk(const ParameterDescription& parameter, const RecordLayout& layout, std::span<const std::size_t> counts,
         const Image& image)
        : parameter_(parameter), layout_(layout), image_(image), items_(layout.items), next_(parameter.address) {
        std::ranges::stable_sort(items_, {}, &RecordItem::position);
        for (std::size_t i = 0; i < std::min(counts.size(), kMostAxes); ++i) given_[i] = counts[i];
    }

    Result<PlacedRecord> place() {
        if (!layout_.why_not.empty()) return refuse("its layout is not understood: " + layout_.why_not);
        if (parameter_.axes.size() > kMostAxes) return refuse("it has more than five axes");
        record_.axes.resize(parameter_.axes.size());
        for (const RecordItem& item : items_)
            if (auto placed = step(item); !placed) return tl::unexpected(placed.error());
        if (auto settled = settle_counts(); !settled) return tl::unexpected(settled.error());
        std::ranges::sort(record_.bytes, {}, &ByteRange::address);
        return std::move(record_);
    }

private:
    Result<void> step(const RecordItem& item) {
        if (!item.direct) return refuse("its numbers lie behind an address in its record, not in it");
        switch (item.kind) {
            case Kind::values:
                return values(item);
            case Kind::axis_points:
                if (const RecordItem* cells = alternating_cells(item.axis)) return alternating(*cells, item);
                return points(item);
            case Kind::axis_pairs:
                return pairs(item);
            case Kind::axis_count:
            case Kind::pair_count:
                return count(item);
            case Kind::fixed_offset:
            case Kind::fixed_shift:
            case Kind::fixed_step:
                return fixed(item);
            case Kind::other:
                return advance(item.type, item.length, {});
        }
        return {};
    }

    /// The next address the item's alignment divides. Both readings of "aligned" are kept apart: on the address, or on
    /// the distance from the record's first byte.
    Result<void> align(StoredType type) {
        const auto found = layout_.alignment.find(type);
        const std::uint64_t border = found == layout_.alignment.end() ? 1 : std::max<std::uint64_t>(1, found->second);
        const auto gap = [&](std::uint64_t at) { return (border - at % border) % border; };
        const std::uint64_t by_address = gap(next_);
        if (by_address != gap(next_ - parameter_.address) && record_.why_not.empty())
            record_.why_not = fmt::format("it begins at {}, which its alignment of {} bytes does not divide",
                                          address_text(parameter_.address), border);
        return skip(by_address);
    }

    Result<void> skip(std::uint64_t bytes) {
        if (bytes > std::numeric_limits<std::uint64_t>::max() - next_) return refuse("its addresses pass 64 bits");
        next_ += bytes;
        return {};
    }

    /// Takes the room of `room` numbers, and returns where the first lies. What is said of it is kept in `bytes` where
    /// it lies inside the image.
    Result<void> advance(StoredType type, std::uint64_t room, std::optional<std::uint64_t> used) {
        if (auto aligned = align(type); !aligned) return aligned;
        at_ = next_;
        const std::uint64_t size = size_of(type);
        // No record is longer than the image it lies in.
        if (room > image_.bytes.size() / size) return outside(next_, image_.bytes.size() + 1);
        if (used && *used > 0) {
            if (!holds(image_, {at_, *used * size})) return outside(at_, *used * size);
            record_.bytes.push_back({at_, *used * size});
        }
        return skip(room * size);
    }

    tl::unexpected<Error> outside(std::uint64_t address, std::uint64_t length) const {
        return refuse(fmt::format("it lies at {}, outside image {}, which holds {}", addresses({address, length}),
                                  image_.file, held_by(image_)));
    }

    std::size_t most_points(std::size_t axis) const {
        if (axis >= parameter_.axes.size()) return 0;
        if (given_[axis] > 0) return std::max(given_[axis], parameter_.axes[axis].most_points);
        if (layout_.fixed_counts[axis]) return *layout_.fixed_counts[axis];
        return parameter_.axes[axis].most_points;
    }

    bool counted_in_record(std::size_t axis, Kind kind) const {
        return std::ranges::any_of(items_, [&](const RecordItem& i) { return i.kind == kind && i.axis == axis; });
    }

    /// The points of an axis as far as they are known by now.
    Result<std::size_t> points_of(std::size_t axis) const {
        if (axis >= parameter_.axes.size())
            return refuse(fmt::format("its layout {} has an axis {}, which it has not", layout_.name,
                                      axis < kMostAxes ? kAxisNames[axis] : "beyond Z5"));
        if (given_[axis] > 0) return given_[axis];
        if (read_[axis]) return *read_[axis];
        if (counted_in_record(axis, Kind::axis_count))
            return refuse(fmt::format("the count of its axis {} lies behind the numbers it counts", kAxisNames[axis]));
        const std::size_t most = most_points(axis);
        if (most == 0) return refuse(fmt::format("nothing says how many points its axis {} has", kAxisNames[axis]));
        return most;
    }

    Result<void> count(const RecordItem& item) {
        if (is_float(item.type)) return refuse("a count of its axes is no whole number");
        if (auto moved = advance(item.type, 1, 1); !moved) return moved;
        if (item.axis >= kMostAxes) return {};
        const double found = number_here(item.type);
        const bool of_pairs = item.kind == Kind::pair_count;
        const double most = static_cast<double>(of_pairs ? most_pairs(item.axis) : most_points(item.axis));
        if (item.axis < parameter_.axes.size() && (found < 1.0 || (most > 0.0 && found > most)))
            return refuse(fmt::format("the image says {:.0f} {} for its axis {}, 1 to {:.0f} expected", found,
                                      of_pairs ? "pairs" : "points", kAxisNames[item.axis], most));
        const auto points = static_cast<std::size_t>(found);
        if (!of_pairs && given_[item.axis] > 0 && given_[item.axis] != points && record_.why_not.empty())
            record_.why_not = fmt::format("its record says {} points for axis {}, the axis itself has {}", points,
                                          kAxisNames[item.axis], given_[item.axis]);
        (of_pairs ? read_pairs_ : read_)[item.axis] = points;
        return {};
    }

    double number_here(StoredType type) const {
        return count_at(PlacedNumbers{.type = type, .order = parameter_.order, .address = at_}, 0, image_);
    }

    Result<void> fixed(const RecordItem& item) {
        if (auto moved = advance(item.type, 1, 1); !moved) return moved;
        if (item.axis >= record_.axes.size()) return {};
        PlacedAxis& axis = record_.axes[item.axis];
        auto& target = item.kind == Kind::fixed_offset  ? axis.first
                       : item.kind == Kind::fixed_shift ? axis.shift
                                                        : axis.step;
        target = number_here(item.type);
        return {};
    }

    ByteOrder order_of(std::size_t axis) const {
        return axis < parameter_.axes.size() ? parameter_.axes[axis].order.value_or(parameter_.order)
                                             : parameter_.order;
    }

    Result<void> points(const RecordItem& item) {
        const auto used = points_of(item.axis);
        if (!used) return tl::unexpected(used.error());
        const std::size_t room = layout_.keeps_places ? std::max(*used, most_points(item.axis)) : *used;
        if (auto moved = advance(item.type, room, *used); !moved) return moved;
        PlacedAxis& axis = record_.axes[item.axis];
        axis.descending = item.descending;
        axis.stored = PlacedNumbers{item.type, order_of(item.axis), at_, {*used}, {size_of(item.type)}};
        return {};
    }

    std::size_t most_pairs(std::size_t axis) const {
        for (const RecordItem& item : items_)
            if (item.kind == Kind::axis_pairs && item.axis == axis && item.length > 1) return item.length;
        return most_points(axis);
    }

    Result<void> pairs(const RecordItem& item) {
        if (item.axis >= parameter_.axes.size()) return refuse("its layout rescales an axis which it has not");
        if (!read_pairs_[item.axis] && counted_in_record(item.axis, Kind::pair_count))
            return refuse("the count of its pairs lies behind them");
        const std::size_t used = read_pairs_[item.axis].value_or(most_pairs(item.axis));
        const std::size_t room = layout_.keeps_places ? std::max(used, most_pairs(item.axis)) : used;
        if (auto moved = advance(item.type, 2 * room, 2 * used); !moved) return moved;
        const std::uint64_t size = size_of(item.type);
        record_.axes[item.axis].pairs = PlacedNumbers{item.type, order_of(item.axis), at_, {used, 2}, {2 * size, size}};
        record_.axes[item.axis].descending = item.descending;
        return {};
    }

    Result<std::vector<std::size_t>> shape() const {
        std::vector<std::size_t> shape = parameter_.dimensions;
        if (parameter_.kind == ParameterDescription::Kind::block && shape.empty() && layout_.fixed_counts[0])
            shape.push_back(*layout_.fixed_counts[0]);
        if (parameter_.kind == ParameterDescription::Kind::block && shape.empty())
            return refuse("nothing says how many numbers it holds");
        if (!parameter_.axes.empty()) shape.clear();
        for (std::size_t d = 0; d < parameter_.axes.size(); ++d) {
            const auto points = points_of(d);
            if (!points) return tl::unexpected(points.error());
            shape.push_back(*points);
        }
        std::size_t cells = 1;
        for (const std::size_t n : shape) {
            if (n == 0) return refuse("it has a dimension without cells");
            if (n > image_.bytes.size() / cells) return outside(next_, image_.bytes.size() + 1);
            cells *= n;
        }
        return shape;
    }

    static std::size_t product(const std::vector<std::size_t>& shape) {
        std::size_t cells = 1;
        for (const std::size_t n : shape) cells *= n;
        return cells;
    }

    /// Room kept for the most points of every axis.
    std::uint64_t room_kept(const std::vector<std::size_t>& shape) {
        std::uint64_t room = 1;
        for (std::size_t d = 0; d < shape.size(); ++d) {
            const std::size_t most = parameter_.axes.empty() ? shape[d] : std::max(shape[d], most_points(d));
            // Whether the rows of a map move together when its axes use fewer points, the layout does not say.
            if (most != shape[d] && shape.size() > 1 && record_.why_not.empty())
                record_.why_not = "its layout keeps the places of unused points, and not all of its points are used";
            room = most > image_.bytes.size() / room ? image_.bytes.size() + 1 : room * most;
        }
        return room;
    }

    Result<void> values(const RecordItem& item) {
        if (record_.values) return {};  // placed together with the axis points it alternates with
        if (alternates(item.order))
            for (const RecordItem& axis : items_)
                if (alternating_cells(axis.axis) == &item && axis.kind == Kind::axis_points)
                    return alternating(item, axis);
        const auto shape_now = shape();
        if (!shape_now) return tl::unexpected(shape_now.error());
        if (alternates(item.order) && product(*shape_now) > 1)
            return refuse("its cells alternate with axis points that do not lie in its record");
        if (item.order == Order::alternate_curves && product(*shape_now) > 1)
            return refuse("its cells alternate with those of other curves, how many is not said");
        const std::uint64_t room = layout_.keeps_places ? room_kept(*shape_now) : product(*shape_now);
        if (auto moved = advance(item.type, room, product(*shape_now)); !moved) return moved;
        record_.values = PlacedNumbers{item.type, parameter_.order, at_, *shape_now,
                                       strides(*shape_now, item.order, size_of(item.type))};
        return {};
    }

    /// The values item that alternates with the points of this axis, null where there is none.
    const RecordItem* alternating_cells(std::size_t axis) const {
        for (const RecordItem& item : items_)
            if (item.kind == Kind::values && ((item.order == Order::alternate_with_x && axis == 0) ||
                                              (item.order == Order::alternate_with_y && axis == 1)))
                return &item;
        return nullptr;
    }

    /// A point of the axis, then the cells of its row (or first the cells, where their position is the lower one).
    Result<void> alternating(const RecordItem& cells, const RecordItem& axis) {
        if (record_.values) return {};
        const auto shape_now = shape();
        if (!shape_now) return tl::unexpected(shape_now.error());
        if (shape_now->size() > 2 || axis.axis >= shape_now->size() || axis.axis >= record_.axes.size())
            return refuse("its cells alternate with an axis in a way that is not understood");
        if (layout_.keeps_places && room_kept(*shape_now) != product(*shape_now))
            return refuse("its cells alternate with axis points, and not all of its points are used");
        const std::uint64_t cell = size_of(cells.type), point = size_of(axis.type);
        if (cell != point && (aligned(cells.type) || aligned(axis.type)))
            return refuse("its cells alternate with axis points of another size and an alignment");
        const std::uint64_t groups = (*shape_now)[axis.axis], in_group = product(*shape_now) / groups;
        const std::uint64_t group = point + in_group * cell;
        if (auto fits = align(cells.type); !fits) return fits;
        at_ = next_;
        if (group * groups > image_.bytes.size() || !holds(image_, {at_, group * groups}))
            return outside(at_, group * groups);
        record_.bytes.push_back({at_, group * groups});
        const bool point_first = axis.position <= cells.position;
        std::vector<std::uint64_t> stride(shape_now->size(), cell);
        stride[axis.axis] = group;
        record_.values =
            PlacedNumbers{cells.type, parameter_.order, at_ + (point_first ? point : 0), *shape_now, stride};
        record_.axes[axis.axis].stored =
            PlacedNumbers{axis.type, order_of(axis.axis), at_ + (point_first ? 0 : in_group * cell), {groups}, {group}};
        record_.axes[axis.axis].descending = axis.descending;
        return skip(group * groups);
    }

    bool aligned(StoredType type) const {
        const auto found = layout_.alignment.find(type);
        return found != layout_.alignment.end() && found->second > 1;
    }

    Result<void> settle_counts() {
        for (std::size_t d = 0; d < parameter_.axes.size(); ++d) {
            if (record_.axes[d].pairs) {
                record_.axes[d].points = record_.axes[d].pairs->shape[0];
                continue;
            }
            const auto points = points_of(d);
            if (!points) return tl::unexpected(points.error());
            // An axis that nothing stores may claim any length; every cell over it takes a byte.
            if (*points > image_.bytes.size())
                return refuse(
                    fmt::format("its axis {} has {} points, more than the image has bytes", kAxisNames[d], *points));
            record_.axes[d].points = *points;
        }
        return {};
    }

    const ParameterDescription& parameter_;
    const RecordLayout& layout_;
    const Image& image_;
    std::vector<RecordItem> items_;
    std::array<std::size_t, kMostAxes> given_{};
    std::array<std::optional<std::size_t>, kMostAxes> read_{}, read_pairs_{};
    std::uint64_t next_ = 0, at_ = 0;
    PlacedRecord record_;
};

std::span<const std::uint8_t> bytes_of(const PlacedNumbers& numbers, std::size_t flat, const Image& image) {
    const std::size_t size = size_of(numbers.type);
    return std::span(image.bytes).subspan(*image.offset_of(numbers.address_of(flat), size), size);
}

}  // namespace

std::size_t PlacedNumbers::cells() const {
    std::size_t count = 1;
    for (const std::size_t n : shape) count *= n;
    return count;
}

std::uint64_t PlacedNumbers::address_of(std::size_t flat) const {
    std::uint64_t at = address;
    for (std::size_t d = shape.size(); d-- > 0;) {
        at += flat % shape[d] * stride[d];
        flat /= shape[d];
    }
    return at;
}

Result<PlacedRecord> place_record(const ParameterDescription& parameter, const RecordLayout& layout,
                                  std::span<const std::size_t> counts, const Image& image) {
    // The standard knows some 50 kinds; each is looked for among the others.
    constexpr std::size_t kMostItems = 128;
    if (layout.items.size() > kMostItems)
        return refuse(
            fmt::format("its layout {} has {} items, {} at most", layout.name, layout.items.size(), kMostItems));
    return Walk(parameter, layout, counts, image).place();
}

std::uint64_t bits_at(const PlacedNumbers& numbers, std::size_t flat, const Image& image) {
    return stored_bits(bytes_of(numbers, flat, image), numbers.order);
}

double count_at(const PlacedNumbers& numbers, std::size_t flat, const Image& image) {
    return stored_number(bits_at(numbers, flat, image), numbers.type);
}

}  // namespace revwright
