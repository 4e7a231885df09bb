#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "server/router.h"

namespace revwright::server {

struct ListenOptions {
    std::string address = "127.0.0.1";                   // nobody else's machine reaches it
    unsigned short port = 8080;                          // 0: one that is free
    std::uint64_t most_upload = std::uint64_t{1} << 30;  // bytes of one log
    std::uint64_t most_connections = 1000;
    int idle_seconds = 30;  // without a byte: the connection is closed
};

/// The network side of the server: HTTP/1.1 on one address, in one thread, while two others do the work. Bodies of logs
/// are written to a file as they come; nothing of a request takes memory beyond its limits.
class Listener {
public:
    /// Errors: the address cannot be listened on.
    static Result<std::unique_ptr<Listener>> open(Router& router, const ListenOptions& options);
    virtual ~Listener() = default;

    virtual unsigned short port() const = 0;
    /// Until stop(), SIGINT or SIGTERM: then no request is taken any more, those that are being answered are finished,
    /// and who waits for news is sent home.
    virtual void run() = 0;
    /// From any thread.
    virtual void stop() = 0;
};

}  // namespace revwright::server
