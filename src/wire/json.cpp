#include "wire/json.h"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>

namespace revwright::wire {

Json number(double value) {
    if (!std::isfinite(value)) return nullptr;
    const std::string digits = fmt::format("{:.10g}", value);
    double tidy = value;
    std::from_chars(digits.data(), digits.data() + digits.size(), tidy);
    constexpr double exact = 9007199254740992.0;  // 2^53
    if (tidy == std::trunc(tidy) && std::abs(tidy) < exact) return static_cast<std::int64_t>(tidy);
    return tidy;
}

Json axes_json(const std::vector<Axis>& axes) {
    Json list = Json::array();
    for (const Axis& axis : axes) {
        Json points = Json::array();
        for (const double point : axis.points()) points.push_back(number(point));
        list.push_back({{"quantity", to_string(axis.quantity())}, {"values", std::move(points)}});
    }
    return list;
}

Json excluded_json(const std::vector<Excluded>& excluded, const std::vector<std::string>& logs) {
    Json list = Json::array();
    for (const Excluded& stretch : excluded)
        list.push_back({{"log", logs[stretch.log]},
                        {"start_s", number(stretch.start_s)},
                        {"end_s", number(stretch.end_s)},
                        {"reason", to_string(stretch.reason)}});
    return list;
}

std::string print(const Json& document) { return document.dump(2, ' ', false, Json::error_handler_t::replace) + "\n"; }

Place place_of(const std::string& file, std::string_view text, std::size_t byte) {
    const std::string_view before = text.substr(0, byte);
    const auto lines = static_cast<std::size_t>(std::ranges::count(before, '\n'));
    const std::size_t last = before.rfind('\n');
    const std::size_t column = last == std::string_view::npos ? before.size() + 1 : before.size() - last;
    return {file, lines + 1, column};
}

}  // namespace revwright::wire
