#include "model/parameter.h"

#include <algorithm>

namespace revwright {

const ParameterDescription* ParameterSet::find(std::string_view wanted) const {
    const auto at = std::ranges::find(parameters, wanted, &ParameterDescription::name);
    return at == parameters.end() ? nullptr : &*at;
}

}  // namespace revwright
