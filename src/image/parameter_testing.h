#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "image/parameter_reader.h"
#include "image/patch.h"
#include "model/parameter.h"

namespace revwright::testing_parameters {

using Kind = ParameterDescription::Kind;
using Item = RecordItem::Kind;
using Order = RecordItem::Order;

inline constexpr std::uint64_t kBase = 0x1000;

inline Image image_of(std::vector<std::uint8_t> bytes) {
    return {.file = "image.bin", .base_address = kBase, .bytes = std::move(bytes)};
}

inline RecordItem item(Item kind, int position, StoredType type = StoredType::u8, std::size_t axis = 0) {
    return {.kind = kind, .axis = axis, .type = type, .position = position};
}

inline RecordItem cells(int position, StoredType type = StoredType::u8, Order order = Order::row_dir) {
    return {.kind = Item::values, .type = type, .position = position, .order = order};
}

inline ParameterAxis axis(std::size_t most, ParameterAxis::Kind kind = ParameterAxis::Kind::in_record) {
    return {.kind = kind, .most_points = most};
}

/// A set with one layout, "L", and one parameter, "P", at the first address.
inline ParameterSet one(Kind kind, std::vector<RecordItem> items, std::vector<ParameterAxis> axes = {}) {
    ParameterSet set{.file = "car.a2l"};
    set.layouts["L"] = {.name = "L", .items = std::move(items)};
    set.parameters.push_back({.name = "P", .kind = kind, .address = kBase, .layout = "L", .axes = std::move(axes)});
    return set;
}

inline ReadParameter read_first(const ParameterSet& set, std::vector<std::uint8_t> bytes) {
    return read_parameters(set, image_of(std::move(bytes))).reading.parameters.front();
}

}  // namespace revwright::testing_parameters
