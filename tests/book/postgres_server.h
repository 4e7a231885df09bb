#pragma once

#include <filesystem>
#include <string>

namespace revwright::book {

/// A database server of its own in a folder of its own, stopped and removed with the object. No network: it listens on
/// a socket in that folder.
class PostgresServer {
public:
    PostgresServer();
    ~PostgresServer();
    PostgresServer(const PostgresServer&) = delete;
    PostgresServer& operator=(const PostgresServer&) = delete;

    /// Whether the machine has what it takes.
    static bool installed();

    bool start();
    bool stop();
    /// A connection string for an empty database of this name.
    std::string database(const std::string& name);

private:
    std::string as_its_user(const std::string& command) const;
    std::filesystem::path folder_;
};

}  // namespace revwright::book
