// Any bytes as a request's target and as cookies: no step of a path leads elsewhere.
#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "server/http.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace revwright::server;
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
    if (const auto request = request_of("GET", text))
        for (const std::string& step : request->path)
            if (step.empty() || step == "." || step == ".." || step.find_first_of("/\\") != std::string::npos ||
                std::ranges::any_of(step, control))
                std::abort();
    for (const auto& [name, value] : cookies_of(text))
        if (name.empty()) std::abort();
    (void)refusal(400, std::string(text));
    return 0;
}
