#include "cli/command.h"

#include <cstdio>

namespace revwright::cli {

Exit refused(const Error& error) {
    tell("revwright: " + describe(error));
    return error.fault == Fault::program ? Exit::fault : Exit::input_refused;
}

void print(std::string_view text) { std::fwrite(text.data(), 1, text.size(), stdout); }

void tell(std::string_view text) {
    std::fflush(stdout);
    std::fwrite(text.data(), 1, text.size(), stderr);
    std::fputc('\n', stderr);
}

}  // namespace revwright::cli
