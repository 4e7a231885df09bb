#pragma once

#include "app/book_steps.h"
#include "server/router.h"

namespace revwright::server {

/// One request on its way: who asks, and what they get.
class Visit {
public:
    Visit(Router& router, book::Book& book, const Request& request)
        : router_(router), book_(book), request_(request), accounts_(book.notes(), router.options_.clock) {}

    Response answer();

private:
    Response of_everybody();
    Response of_signed_in();
    Response of_accounts();
    Response of_job();
    Response of_step(const std::string& id, const std::string& step);
    Response of_links(const std::string& id);

    Response state();
    Response set_up();
    Response sign_in();
    Response me() const;
    Response link(const std::string& token);
    Response add_run(const std::string& id);
    Response file(const std::string& id, const std::string& digest);
    Response signed_in(const Accounts::SignedIn& in, const Account& account) const;

    bool is(std::string_view method, std::size_t steps) const {
        return request_.method == method && request_.path.size() == steps;
    }
    bool changes_something() const { return request_.method != "GET"; }
    bool from_own_page() const;
    bool may(std::initializer_list<Role> roles) const;
    /// A member of the request's JSON document; empty where it is none.
    std::string said(const char* member) const;
    app::Who who() const { return {visitor_->account.name, router_.options_.now_utc()}; }

    Router& router_;
    book::Book& book_;
    const Request& request_;
    Accounts accounts_;
    std::optional<Accounts::Visitor> visitor_;
};

/// The refusal of an error: 404 not found, 409 somebody was faster, 422 bad input, 503 the book cannot be reached.
Response refusal_of(const Error& error);

}  // namespace revwright::server
