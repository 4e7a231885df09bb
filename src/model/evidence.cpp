#include "model/evidence.h"

#include <algorithm>

namespace revwright {

const CellEvidence* TableEvidence::find(std::size_t flat) const {
    const auto found = std::ranges::lower_bound(cells, flat, {}, &CellEvidence::flat);
    return found != cells.end() && found->flat == flat ? &*found : nullptr;
}

}  // namespace revwright
