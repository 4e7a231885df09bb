#pragma once

#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "server/accounts.h"
#include "server/http.h"

namespace revwright::server {

/// Answers requests over a book. Any number of threads may ask at the same time.
///
/// Who is not signed in sees nothing but whether the shop is set up. A request that changes something comes from a page
/// of this server (origin), from a signed-in browser (cookie) and shows that session's form token; what each role may
/// do is decided here and nowhere else.
class Router {
public:
    struct Options {
        std::string book = {};    // a folder or a postgresql:// address; empty: the user's own
        bool behind_tls = false;  // cookies are sent over TLS only
        Clock clock = {};
        std::function<std::string()> now_utc = {};
    };
    /// Errors: the book cannot be opened.
    static Result<std::unique_ptr<Router>> open(Options options);

    Response answer(const Request& request);

    /// With this the first owner's account is made; empty once there is an account.
    const std::string& set_up_code() const { return set_up_code_; }
    /// The number of the last entry, for who watches for news.
    Result<std::uint64_t> last_entry();
    /// Whether the visitor of this cookie is signed in.
    bool is_signed_in(const Request& request);

private:
    explicit Router(Options options) : options_(std::move(options)), tries_(options_.clock) {}
    class Lease;
    Result<std::unique_ptr<book::Book>> borrow();
    void give_back(std::unique_ptr<book::Book> book);

    Options options_;
    std::string set_up_code_;
    std::mutex mutex_;  // over what follows
    Tries tries_;
    std::vector<std::unique_ptr<book::Book>> idle_;
    friend class Visit;
};

}  // namespace revwright::server
