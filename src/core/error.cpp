#include "core/error.h"

#include <fmt/format.h>

namespace revwright {

std::string describe(const Error& error) {
    if (!error.place) return error.what;
    const Place& place = *error.place;
    std::string where = place.file;
    if (place.line > 0) where += fmt::format(":{}", place.line);
    if (place.line > 0 && place.column > 0) where += fmt::format(":{}", place.column);
    if (place.byte) where += fmt::format(" at byte {}", *place.byte);
    return where.empty() ? error.what : where + ": " + error.what;
}

}  // namespace revwright
