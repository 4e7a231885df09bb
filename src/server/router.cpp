#include "server/router.h"

#include <exception>
#include <utility>

#include "server/visit.h"

namespace revwright::server {

/// A book for the time of one request.
class Router::Lease {
public:
    Lease(Router& router, std::unique_ptr<book::Book> book) : router_(router), book_(std::move(book)) {}
    ~Lease() { router_.give_back(std::move(book_)); }
    Lease(const Lease&) = delete;
    Lease& operator=(const Lease&) = delete;
    book::Book& book() { return *book_; }

private:
    Router& router_;
    std::unique_ptr<book::Book> book_;
};

Result<std::unique_ptr<Router>> Router::open(Options options) {
    std::unique_ptr<Router> router(new Router(std::move(options)));
    auto book = router->borrow();
    if (!book) return tl::unexpected(book.error());
    const auto accounts = Accounts((*book)->notes(), router->options_.clock).all();
    if (!accounts) return tl::unexpected(accounts.error());
    if (accounts->empty()) router->set_up_code_ = random_token().substr(0, 16);
    router->give_back(*std::move(book));
    return router;
}

Result<std::unique_ptr<book::Book>> Router::borrow() {
    {
        const std::scoped_lock lock(mutex_);
        if (!idle_.empty()) {
            auto book = std::move(idle_.back());
            idle_.pop_back();
            return book;
        }
    }
    auto book = app::open_book(options_.book);
    if (!book) return tl::unexpected(book.error());
    return std::make_unique<book::Book>(*std::move(book));
}

void Router::give_back(std::unique_ptr<book::Book> book) {
    const std::scoped_lock lock(mutex_);
    idle_.push_back(std::move(book));
}

Response Router::answer(const Request& request) {
    try {
        auto book = borrow();
        if (!book) return refusal_of(book.error());
        Lease lease(*this, *std::move(book));
        return Visit(*this, lease.book(), request).answer();
    } catch (const std::exception& fault) {  // no memory, say: the others are still served
        return refusal(500, std::string("a fault of the program: ") + fault.what());
    }
}

Result<std::uint64_t> Router::last_entry() {
    auto book = borrow();
    if (!book) return tl::unexpected(book.error());
    Lease lease(*this, *std::move(book));
    return lease.book().last_entry();
}

bool Router::is_signed_in(const Request& request) {
    Request asks = request;
    asks.method = "GET";
    asks.path = {"api", "me"};
    return answer(asks).status == 200;
}

}  // namespace revwright::server
