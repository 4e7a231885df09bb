#include "model/description.h"

#include <algorithm>

namespace revwright {

const TableDescription* Description::find(std::string_view name) const {
    const auto found = std::ranges::find(tables, name, &TableDescription::name);
    return found == tables.end() ? nullptr : &*found;
}

}  // namespace revwright
