#include "formats/a2l/references.h"

#include <algorithm>
#include <fmt/format.h>
#include <numeric>

namespace revwright::a2l {
namespace {

using Kind = ParameterDescription::Kind;

/// Numbers of the parameters in the order of their names, those of one name in the order of the file.
std::vector<std::size_t> by_name(const std::deque<Joined>& joined) {
    std::vector<std::size_t> order(joined.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::ranges::stable_sort(order, {}, [&](std::size_t i) -> std::string_view { return joined[i].parameter.name; });
    return order;
}

void mark_second(const Joined& second, Joined& first, Problems& problems) {
    const Place& place = first.parameter.place;
    problems.note(second.parameter.place, fmt::format("{} stands here again; the first{} is taken",
                                                      brief(second.parameter.name), in_brackets(place)));
    if (second.written.empty() || second.written != first.written)
        because(first.parameter.why_not,
                fmt::format("it stands twice and differs, again at{}", in_brackets(second.parameter.place)));
}

std::string_view needed(ParameterAxis::Kind kind) {
    switch (kind) {
        case ParameterAxis::Kind::shared:
            return "COM_AXIS";
        case ParameterAxis::Kind::rescaled:
            return "RES_AXIS";
        case ParameterAxis::Kind::by_curve:
            return "CURVE_AXIS";
        case ParameterAxis::Kind::in_record:
        case ParameterAxis::Kind::fixed:
            break;
    }
    return "";
}

/// Finds a parameter by name among those that stay.
class Names {
public:
    explicit Names(const ParameterSet& set) : set_(set), order_(set.parameters.size()) {
        std::iota(order_.begin(), order_.end(), std::size_t{0});
        std::ranges::sort(order_, {}, [&](std::size_t i) -> std::string_view { return set_.parameters[i].name; });
    }
    const ParameterDescription* find(std::string_view name) const {
        const auto named = [&](std::size_t i) -> std::string_view { return set_.parameters[i].name; };
        const auto at = std::ranges::lower_bound(order_, name, {}, named);
        return at != order_.end() && named(*at) == name ? &set_.parameters[*at] : nullptr;
    }

private:
    const ParameterSet& set_;
    std::vector<std::size_t> order_;
};

std::string why_not(const ParameterAxis& axis, const Names& names) {
    const std::string_view kind = needed(axis.kind);
    if (kind.empty()) return {};
    const std::string where = in_brackets(axis.place);
    if (axis.shared.empty()) return fmt::format("its {}{} names no axis", kind, where);
    const ParameterDescription* const other = names.find(axis.shared);
    if (other == nullptr) return fmt::format("its {} {}{} is not described", kind, brief(axis.shared), where);
    const Kind wanted = axis.kind == ParameterAxis::Kind::by_curve ? Kind::curve : Kind::axis_points;
    if (other->kind != wanted)
        return fmt::format("its {} {}{} is no {}", kind, brief(axis.shared), where,
                           wanted == Kind::curve ? "CURVE" : "AXIS_PTS");
    if (other->why_not.starts_with("it stands twice"))
        return fmt::format("its {} {}{} stands twice and differs", kind, brief(axis.shared), where);
    return {};
}

}  // namespace

void settle_parameters(std::deque<Joined>& joined, Problems& problems, ParameterSet& set) {
    std::vector<bool> again(joined.size(), false);
    const std::vector<std::size_t> order = by_name(joined);
    for (std::size_t i = 1, first = 0; i < order.size(); ++i) {
        if (joined[order[i]].parameter.name != joined[order[first]].parameter.name) {
            first = i;
            continue;
        }
        again[order[i]] = true;
        mark_second(joined[order[i]], joined[order[first]], problems);
    }
    set.parameters.reserve(joined.size());
    for (std::size_t i = 0; !joined.empty(); ++i) {
        if (!again[i]) set.parameters.push_back(std::move(joined.front().parameter));
        joined.pop_front();
    }
    const Names names(set);
    for (ParameterDescription& parameter : set.parameters)
        for (const ParameterAxis& axis : parameter.axes) because(parameter.why_not, why_not(axis, names));
}

}  // namespace revwright::a2l
