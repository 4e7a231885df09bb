#pragma once

#include <string>

namespace revwright::app {

/// The time of day for records, ISO 8601 in UTC: "2026-03-14T09:30:00Z". Shells ask for it; nothing below `app` does.
std::string now_utc();

}  // namespace revwright::app
