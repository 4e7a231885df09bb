#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <chrono>
#include <fmt/format.h>
#include <memory>

#include "app/clock.h"
#include "cli/command.h"
#include "cli/text/cautions.h"
#include "server/listener.h"

namespace revwright::cli {
namespace {

struct ServeOptions {
    server::ListenOptions listen;
    std::string book;
    std::uint64_t most_upload_mib = 1024;
    bool behind_tls = false;
};

std::int64_t seconds_now() {
    return std::chrono::duration_cast<std::chrono::seconds>(std::chrono::system_clock::now().time_since_epoch())
        .count();
}

Exit serve(ServeOptions options) {
    options.listen.most_upload = options.most_upload_mib << 20;
    const auto router = server::Router::open(
        {.book = options.book, .behind_tls = options.behind_tls, .clock = seconds_now, .now_utc = app::now_utc});
    if (!router) return refused(router.error());
    const auto listener = server::Listener::open(**router, options.listen);
    if (!listener) return refused(listener.error());
    tell(fmt::format("Serving the book as JSON at http://{}:{}/api until stopped. Pages come with a later version.",
                     options.listen.address, (*listener)->port()));
    if (const std::string& code = (*router)->set_up_code(); !code.empty())
        tell("Nobody has an account yet. The first owner's is made with this code: " + code);
    tell(text::cautions());
    (*listener)->run();
    tell("Stopped.");
    return Exit::done;
}

}  // namespace

void add_serve(CLI::App& app, Exit& exit) {
    const auto options = std::make_shared<ServeOptions>();
    CLI::App* command = app.add_subcommand("serve", "the book over HTTP, as JSON, with accounts");
    command->add_option("--book", options->book, "its folder, or a postgresql:// address (default: the user's own)")
        ->type_name("BOOK");
    command->add_option("--address", options->listen.address, "listen here (default: this machine only)")
        ->type_name("ADDRESS");
    command->add_option("--port", options->listen.port, "and at this port (default 8080; 0: any that is free)")
        ->type_name("N");
    command->add_option("--upload-limit", options->most_upload_mib, "MiB that one log may have (default 1024)")
        ->type_name("MIB")
        ->check(CLI::Range(1, 65536));
    command->add_flag("--behind-tls", options->behind_tls, "a proxy speaks TLS: send cookies over that only");
    command->callback([options, &exit] { exit = serve(*options); });
}

}  // namespace revwright::cli
