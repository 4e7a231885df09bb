#include "model/job_story.h"

namespace revwright {

std::string_view to_string(Waits waits) {
    switch (waits) {
        case Waits::technician:
            return "technician";
        case Waits::calibrator:
            return "calibrator";
        case Waits::nobody:
            return "nobody";
    }
    return "";
}

}  // namespace revwright
