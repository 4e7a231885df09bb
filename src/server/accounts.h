#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "app/open_book.h"

namespace revwright::server {

enum class Role { owner, calibrator, technician };
std::string_view to_string(Role role);
std::optional<Role> role_of(std::string_view word);

struct Account {
    std::string name = {};
    Role role = Role::technician;
    std::string password = {};  // as Argon2id keeps it, with its own salt and cost; empty: may not sign in
    friend bool operator==(const Account&, const Account&) = default;
};

/// Who is signed in, from which browser.
struct Session {
    std::string account = {};
    std::string form_token = {};  // what a request that changes something must show besides the cookie
    std::int64_t until_s = 0;     // of the clock the sessions are given
};

/// Seconds of a clock that only runs forwards, for how long a session lasts and how often one may try.
using Clock = std::function<std::int64_t()>;

/// The people of a shop, kept in its book, and who of them is signed in. Names are told apart by every letter.
///
/// Passwords are kept by Argon2id [RFC9106] of the sodium library at its interactive cost. A session's token is 256
/// random bits; the book keeps only its SHA-256, so that who reads the book cannot sign in with it.
class Accounts {
public:
    Accounts(book::Store& notes, Clock clock) : notes_(notes), clock_(std::move(clock)) {}

    Result<std::vector<Account>> all();
    Result<std::optional<Account>> find(const std::string& name);
    /// Errors: a name or password that does not do; a name that is taken.
    Result<Account> add(const std::string& name, Role role, const std::string& password);
    Result<void> remove(const std::string& name);

    struct SignedIn {
        std::string token;  // for the cookie
        Session session;
    };
    /// Nothing where name or password are wrong. A wrong name takes as long as a wrong password.
    Result<std::optional<SignedIn>> sign_in(const std::string& name, const std::string& password);
    /// Who a token stands for; nothing for one that is unknown, forged or over, or whose account is gone.
    struct Visitor {
        Account account;
        Session session;
    };
    Result<std::optional<Visitor>> visitor(const std::string& token);
    Result<void> sign_out(const std::string& token);

private:
    book::Store& notes_;
    Clock clock_;
};

inline constexpr std::size_t kLeastPassword = 10;  // characters; our choice
inline constexpr std::int64_t kSessionSeconds = 12 * 3600;

/// How often one may fail: so many tries of one name or from one address, then one more each minute.
class Tries {
public:
    explicit Tries(Clock clock) : clock_(std::move(clock)) {}
    bool may_try(const std::string& who);
    void failed(const std::string& who);
    void succeeded(const std::string& who) { left_.erase(who); }

private:
    struct Left {
        double tries = 0.0;
        std::int64_t at_s = 0;
    };
    Left& left(const std::string& who);
    Clock clock_;
    std::map<std::string, Left> left_;
};

/// 256 random bits from the system, in hexadecimal digits.
std::string random_token();
/// Compares in a time that does not tell where they differ.
bool same_secret(const std::string& a, const std::string& b);

}  // namespace revwright::server
