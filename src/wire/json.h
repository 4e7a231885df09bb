#pragma once

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "core/digest.h"
#include "core/error.h"
#include "model/axis.h"
#include "model/review.h"

// Shared by the writers of this folder; include it in sources only, the library is slow to compile.
namespace revwright::wire {

using Json = nlohmann::ordered_json;

/// A number as JSON: ten significant digits, so that the last bits of arithmetic do not show; null where there is none.
Json number(double value);

template <class T>
Json number(const std::optional<T>& value) {
    return value ? number(static_cast<double>(*value)) : Json(nullptr);
}

Json axes_json(const std::vector<Axis>& axes);
Json excluded_json(const std::vector<Excluded>& excluded, const std::vector<std::string>& logs);

/// The document as text: two spaces, one line feed at the end. Bytes that are not UTF-8 are replaced.
std::string print(const Json& document);

/// Where a byte offset lies in a text, for messages: line and column from 1.
Place place_of(const std::string& file, std::string_view text, std::size_t byte);

}  // namespace revwright::wire
