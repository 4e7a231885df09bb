#include "postgres_server.h"

#include <cstdlib>
#include <fmt/format.h>
#include <unistd.h>

namespace revwright::book {
namespace {

constexpr const char* kPrograms = "/usr/lib/postgresql/15/bin";

bool run(const std::string& command) { return std::system((command + " >/dev/null 2>&1").c_str()) == 0; }

}  // namespace

bool PostgresServer::installed() { return std::filesystem::exists(std::filesystem::path(kPrograms) / "initdb"); }

/// The server refuses to run as root.
std::string PostgresServer::as_its_user(const std::string& command) const {
    const std::string whole = fmt::format("{}/{}", kPrograms, command);
    return ::getuid() == 0 ? fmt::format("cd {} && runuser -u postgres -- {}", folder_.string(), whole) : whole;
}

PostgresServer::PostgresServer() {
    std::string pattern = (std::filesystem::temp_directory_path() / "book_server_XXXXXX").string();
    folder_ = ::mkdtemp(pattern.data());
    if (::getuid() == 0) run(fmt::format("chown postgres {}", folder_.string()));
    run(as_its_user(fmt::format("initdb -D {}/data -A trust -U keeper --no-sync", folder_.string())));
    start();
}

PostgresServer::~PostgresServer() {
    stop();
    std::error_code ignored;
    std::filesystem::remove_all(folder_, ignored);
}

bool PostgresServer::start() {
    return run(
        as_its_user(fmt::format("pg_ctl -D {0}/data -w -l {0}/log -o \"-k {0} -h ''\" start", folder_.string())));
}

bool PostgresServer::stop() {
    return run(as_its_user(fmt::format("pg_ctl -D {}/data -w -m immediate stop", folder_.string())));
}

std::string PostgresServer::database(const std::string& name) {
    run(as_its_user(fmt::format("dropdb --force --if-exists -h {} -U keeper {}", folder_.string(), name)));
    run(as_its_user(fmt::format("createdb -h {} -U keeper {}", folder_.string(), name)));
    return fmt::format("postgresql://keeper@/{}?host={}", name, folder_.string());
}

}  // namespace revwright::book

#if defined(__SANITIZE_ADDRESS__)
/// libpqxx 6.4 does not free the last result of a connection that broke: 2 KiB each time the server goes away.
extern "C" const char* __lsan_default_suppressions() { return "leak:libpqxx"; }
#endif
