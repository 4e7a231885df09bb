#include "server/accounts.h"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <sodium.h>
#include <stdexcept>

namespace revwright::server {
namespace {

using Json = nlohmann::json;

constexpr std::size_t kLongestName = 60, kLongestPassword = 1000;
constexpr double kTriesAtOnce = 5.0, kSecondsForOne = 60.0;
constexpr std::size_t kMostKnown = 10'000;  // of those who failed: no flood of names may fill the memory
constexpr const char *kAccount = "account", *kSession = "session";

void ready() {
    if (sodium_init() < 0) throw std::runtime_error("the sodium library cannot find random numbers");
}

std::string kept(const std::string& password) {
    ready();
    std::array<char, crypto_pwhash_STRBYTES> text{};
    if (crypto_pwhash_str_alg(text.data(), password.c_str(), password.size(), crypto_pwhash_OPSLIMIT_INTERACTIVE,
                              crypto_pwhash_MEMLIMIT_INTERACTIVE, crypto_pwhash_ALG_ARGON2ID13) != 0)
        throw std::bad_alloc();
    return text.data();
}

bool fits(const std::string& kept_password, const std::string& password) {
    ready();
    return crypto_pwhash_str_verify(kept_password.c_str(), password.c_str(), password.size()) == 0;
}

/// Something to compare with where there is no such account.
const std::string& of_nobody() {
    static const std::string text = kept(random_token());
    return text;
}

std::string hash_of(const std::string& token) {
    return to_hex(sha256({reinterpret_cast<const std::uint8_t*>(token.data()), token.size()}));
}

std::string text_of(const Account& account) {
    return Json{{"role", to_string(account.role)}, {"password", account.password}}.dump();
}

Result<Account> account_of(const std::string& name, const std::string& text) {
    const Json json = Json::parse(text, nullptr, false);
    const auto word = json.is_object() ? role_of(json.value("role", "")) : std::nullopt;
    if (!word) return fail(Fault::io, "the book's account of " + name + " cannot be read");
    return Account{name, *word, json.value("password", "")};
}

std::optional<Session> session_of(const std::string& text) {
    const Json json = Json::parse(text, nullptr, false);
    if (!json.is_object() || !json.contains("until_s") || !json["until_s"].is_number_integer()) return std::nullopt;
    return Session{json.value("account", ""), json.value("form_token", ""), json["until_s"].get<std::int64_t>()};
}

/// Why a name does not do; empty where it does.
std::string against(const std::string& name) {
    if (name.empty() || name.size() > kLongestName) return "expected a name of 1 to 60 bytes";
    const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
    if (std::ranges::any_of(name, control) || name.front() == ' ' || name.back() == ' ')
        return "expected a name without control characters, and without blanks around it";
    return {};
}

}  // namespace

std::string_view to_string(Role role) {
    switch (role) {
        case Role::owner:
            return "owner";
        case Role::calibrator:
            return "calibrator";
        case Role::technician:
            return "technician";
    }
    return "";
}

std::optional<Role> role_of(std::string_view word) {
    for (const Role role : {Role::owner, Role::calibrator, Role::technician})
        if (word == to_string(role)) return role;
    return std::nullopt;
}

std::string random_token() {
    ready();
    std::array<std::uint8_t, 32> bits{};
    randombytes_buf(bits.data(), bits.size());
    return to_hex(std::span<const std::uint8_t>(bits));
}

bool same_secret(const std::string& a, const std::string& b) {
    return !a.empty() && a.size() == b.size() && sodium_memcmp(a.data(), b.data(), a.size()) == 0;
}

Result<std::vector<Account>> Accounts::all() {
    const auto notes = notes_.notes(kAccount);
    if (!notes) return tl::unexpected(notes.error());
    std::vector<Account> accounts;
    for (const book::Note& note : *notes) {
        auto account = account_of(note.key, note.text);
        if (!account) return tl::unexpected(account.error());
        accounts.push_back(*std::move(account));
    }
    return accounts;
}

Result<std::optional<Account>> Accounts::find(const std::string& name) {
    const auto note = notes_.note(kAccount, name);
    if (!note) return tl::unexpected(note.error());
    if (!*note) return std::nullopt;
    auto account = account_of(name, **note);
    if (!account) return tl::unexpected(account.error());
    return *std::move(account);
}

Result<Account> Accounts::add(const std::string& name, Role role, const std::string& password) {
    if (const std::string why = against(name); !why.empty()) return refuse(why);
    if (password.size() < kLeastPassword || password.size() > kLongestPassword)
        return refuse("expected a password of 10 to 1000 bytes");
    const Account account{name, role, kept(password)};
    const auto added = notes_.add_note(kAccount, name, text_of(account));
    if (!added) return tl::unexpected(added.error());
    if (!*added) return fail(Fault::conflict, "there is an account of " + name + " already");
    return account;
}

Result<void> Accounts::remove(const std::string& name) { return notes_.remove_note(kAccount, name); }

Result<std::optional<Accounts::SignedIn>> Accounts::sign_in(const std::string& name, const std::string& password) {
    const auto account = find(name);
    if (!account) return tl::unexpected(account.error());
    const bool may = *account && !(*account)->password.empty();
    const bool right = fits(may ? (*account)->password : of_nobody(), password);
    if (!may || !right) return std::nullopt;
    SignedIn in{random_token(), {name, random_token(), clock_() + kSessionSeconds}};
    const Json json{{"account", name}, {"form_token", in.session.form_token}, {"until_s", in.session.until_s}};
    if (const auto put = notes_.put_note(kSession, hash_of(in.token), json.dump()); !put)
        return tl::unexpected(put.error());
    return in;
}

Result<std::optional<Accounts::Visitor>> Accounts::visitor(const std::string& token) {
    if (token.empty()) return std::nullopt;
    const auto note = notes_.note(kSession, hash_of(token));
    if (!note) return tl::unexpected(note.error());
    const auto session = *note ? session_of(**note) : std::nullopt;
    if (!session) return std::nullopt;
    if (session->until_s <= clock_()) {
        if (const auto gone = sign_out(token); !gone) return tl::unexpected(gone.error());
        return std::nullopt;
    }
    auto account = find(session->account);
    if (!account) return tl::unexpected(account.error());
    if (!*account) return std::nullopt;
    return Visitor{**account, *session};
}

Result<void> Accounts::sign_out(const std::string& token) { return notes_.remove_note(kSession, hash_of(token)); }

Tries::Left& Tries::left(const std::string& who) {
    if (left_.size() > kMostKnown) left_.clear();
    const std::int64_t now = clock_();
    Left& left = left_.try_emplace(who, Left{kTriesAtOnce, now}).first->second;
    left.tries = std::min(kTriesAtOnce, left.tries + static_cast<double>(now - left.at_s) / kSecondsForOne);
    left.at_s = now;
    return left;
}

bool Tries::may_try(const std::string& who) { return left(who).tries >= 1.0; }

void Tries::failed(const std::string& who) { left(who).tries -= 1.0; }

}  // namespace revwright::server
