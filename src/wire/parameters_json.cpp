#include "wire/parameters_json.h"

#include <cmath>
#include <functional>
#include <span>

#include "wire/json.h"
#include "wire/tables_json.h"

namespace revwright::wire {
namespace {

std::string_view name_of(ParameterDescription::Kind kind) {
    using enum ParameterDescription::Kind;
    switch (kind) {
        case value:
            return "value";
        case block:
            return "block";
        case text:
            return "text";
        case curve:
            return "curve";
        case map:
            return "map";
        case cuboid:
            return "cuboid";
        case axis_points:
            return "axis";
    }
    return "";
}

/// Cells nested as the dimensions are: a list of the first, of lists of the second ..; one cell where there is none.
Json nested(std::span<const std::size_t> shape, std::size_t& flat, const std::function<Json(std::size_t)>& cell) {
    if (shape.empty()) return cell(flat++);
    Json list = Json::array();
    for (std::size_t i = 0; i < shape[0]; ++i) list.push_back(nested(shape.subspan(1), flat, cell));
    return list;
}

Json nested(const ReadParameter& read, std::size_t cells, const std::function<Json(std::size_t)>& cell) {
    if (cells == 0) return nullptr;
    std::size_t flat = 0;
    return nested(read.shape, flat, cell);
}

/// Whole counts show all their digits: they are what stands in memory.
Json count(double raw) {
    constexpr double exact = 9007199254740992.0;  // 2^53
    if (raw == std::trunc(raw) && std::abs(raw) < exact) return static_cast<std::int64_t>(raw);
    return number(raw);
}

Json quantity_json(const std::optional<ChannelKey>& quantity) {
    return quantity ? Json(to_string(*quantity)) : Json(nullptr);
}

Json axis_json(const ReadAxis& axis) {
    Json values = nullptr;
    if (!axis.words.empty()) {
        values = axis.words;
    } else if (axis.values.size() == axis.size()) {
        values = Json::array();
        for (const double value : axis.values) values.push_back(number(value));
    }
    return {{"quantity", quantity_json(axis.quantity)},
            {"input", axis.input.empty() ? Json(nullptr) : Json(axis.input)},
            {"unit", axis.unit},
            {"values", std::move(values)}};
}

Json values_json(const ReadParameter& read) {
    if (read.text) return *read.text;
    if (!read.words.empty())
        return nested(read, read.words.size(),
                      [&](std::size_t i) { return read.words[i] ? Json(*read.words[i]) : Json(nullptr); });
    return nested(read, read.values.size(), [&](std::size_t i) { return number(read.values[i]); });
}

Json parameter_json(const ReadParameter& read, const ImageEntry& entry) {
    Json roles = Json::array(), axes = Json::array();
    for (const Role role : roles_of(entry, read.name)) roles.push_back(to_string(role));
    for (const ReadAxis& axis : read.axes) axes.push_back(axis_json(axis));
    return {{"name", read.name},
            {"kind", name_of(read.kind)},
            {"roles", std::move(roles)},
            {"quantity", quantity_json(read.quantity)},
            {"unit", read.unit},
            {"writable", read.writable},
            {"why_not", read.writable ? Json(nullptr) : Json(read.why_not)},
            {"axes", std::move(axes)},
            {"values", values_json(read)},
            {"raw", nested(read, read.raw.size(), [&](std::size_t i) { return count(read.raw[i]); })},
            {"min", number(read.min)},
            {"max", number(read.max)},
            {"resolution", number(read.resolution)}};
}

}  // namespace

std::string parameters_json(const ParameterReading& reading, const ImageEntry& entry, const std::string& only) {
    Json list = Json::array();
    for (const ReadParameter& read : reading.parameters)
        if (only.empty() || read.name == only) list.push_back(parameter_json(read, entry));
    return print(
        {{"schema", "revwright.tables-read/1"}, {"image_sha256", to_hex(reading.image)}, {"tables", std::move(list)}});
}

}  // namespace revwright::wire
