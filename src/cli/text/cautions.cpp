#include "cli/text/cautions.h"

namespace revwright::cli::text {

std::string cautions() {
    return "Cautions\n"
           "  Over-lean or over-advanced running destroys engines. Drive full load on a dynamometer or a closed "
           "course.\n"
           "  Removing emission control equipment, or changing its calibration, is unlawful on the road in many "
           "places:\n"
           "  local law and licensed practice decide. Torque and speed limiters protect parts and tyres.\n"
           "  All figures are estimates.\n";
}

}  // namespace revwright::cli::text
