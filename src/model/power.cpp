#include "model/power.h"

namespace revwright {

std::string_view to_string(PowerMethod method) {
    switch (method) {
        case PowerMethod::road_load:
            return "road-load";
        case PowerMethod::dynamometer:
            return "dynamometer";
        case PowerMethod::air_flow:
            return "air-flow";
        case PowerMethod::control_unit:
            return "control-unit";
    }
    return "";
}

}  // namespace revwright
