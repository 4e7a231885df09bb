#include "app/clock.h"

#include <chrono>
#include <fmt/chrono.h>

namespace revwright::app {

std::string now_utc() {
    const auto now = std::chrono::time_point_cast<std::chrono::seconds>(std::chrono::system_clock::now());
    return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", now);
}

}  // namespace revwright::app
