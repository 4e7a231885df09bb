#include "server/visit.h"

#include <algorithm>
#include <charconv>
#include <nlohmann/json.hpp>

#include "wire/book_json.h"

namespace revwright::server {
namespace {

using Json = nlohmann::json;

constexpr const char *kCookie = "revwright_session", *kLink = "link", *kLinkOfJob = "link-of-job";
constexpr std::size_t kMostDocument = 64 * 1024;
// What of a [[run]] an upload may say, as the command line may.
constexpr const char* kRunKeys[] = {
    "place",        "direction",  "slope_pct", "occupants_kg",        "ambient_temp_c", "ambient_pressure_kpa",
    "humidity_pct", "fuel_batch", "ron",       "roller_inertia_kg_m2"};

Response document(std::string text, int status = 200) { return {.status = status, .body = std::move(text)}; }
Response document(const Json& json, int status = 200) {
    return {.status = status, .body = json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n"};
}

Response nothing_here() { return refusal(404, "there is nothing here"); }
Response not_allowed() { return refusal(403, "your role does not allow this"); }

Response told(const Result<JobStory>& story) {
    return story ? document(wire::story_json(*story)) : refusal_of(story.error());
}

std::string hash_of(const std::string& token) {
    return to_hex(sha256({reinterpret_cast<const std::uint8_t*>(token.data()), token.size()}));
}

/// The last step of a name, fit to be a file's: whatever a browser calls the file, it goes nowhere else.
std::string file_name(const std::string& name) {
    const std::size_t slash = name.find_last_of("/\\");
    std::string plain = slash == std::string::npos ? name : name.substr(slash + 1);
    std::erase_if(plain,
                  [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == '\'' || c == '"' || c == 0x7f; });
    if (plain.size() > 120) plain.erase(0, plain.size() - 120);
    return plain.empty() || plain == "." || plain == ".." ? "log" : plain;
}

const KeptFile* file_of(const JobStory& story, const Digest& digest) {
    const auto same = [&](const KeptFile& file) { return file.digest == digest; };
    if (same(story.job.sheet)) return &story.job.sheet;
    if (const auto found = std::ranges::find_if(story.job.files, same); found != story.job.files.end()) return &*found;
    for (const StoryRevision& revision : story.revisions) {
        if (same(revision.image)) return &revision.image;
        if (revision.proposal && same(revision.proposal->proposal)) return &revision.proposal->proposal;
        for (const StoryRun& run : revision.runs)
            if (same(run.run.log)) return &run.run.log;
    }
    return nullptr;
}

}  // namespace

Response refusal_of(const Error& error) {
    switch (error.fault) {
        case Fault::bad_input:
            return refusal(422, error.what);
        case Fault::not_found:
            return refusal(404, error.what);
        case Fault::conflict:
            return refusal(409, error.what);
        case Fault::io:
            return refusal(503, error.what);
        case Fault::program:
            break;
    }
    return refusal(500, error.what);
}

/// A browser says where a request comes from; what is no browser cannot be lured to another page.
bool Visit::from_own_page() const {
    const std::string site = request_.header("sec-fetch-site"), origin = request_.header("origin");
    if (!site.empty() && site != "same-origin" && site != "none") return false;
    const std::string host = request_.header("host");
    return origin.empty() || origin == "http://" + host || origin == "https://" + host;
}

bool Visit::may(std::initializer_list<Role> roles) const {
    return std::ranges::find(roles, visitor_->account.role) != roles.end();
}

std::string Visit::said(const char* member) const {
    if (request_.body.size() > kMostDocument) return {};
    const Json json = Json::parse(request_.body, nullptr, false);
    if (!json.is_object() || !json.contains(member) || !json[member].is_string()) return {};
    return json[member].get<std::string>();
}

Response Visit::answer() {
    if (request_.path.size() < 2 || request_.path[0] != "api") return nothing_here();
    if (request_.method != "GET" && request_.method != "POST" && request_.method != "DELETE")
        return refusal(405, "only GET, POST and DELETE are known here");
    if (changes_something() && !from_own_page()) return refusal(403, "the request comes from another page");
    if (request_.body.size() > kMostDocument) return refusal(413, "expected a document of at most 64 KiB");
    if (Response response = of_everybody(); response.status != 404) return response;
    auto visitor = accounts_.visitor(request_.cookie(kCookie));
    if (!visitor) return refusal_of(visitor.error());
    if (!*visitor) return refusal(401, "sign in first");
    visitor_ = *std::move(visitor);
    if (changes_something() && !same_secret(request_.header("x-form-token"), visitor_->session.form_token))
        return refusal(403, "the request lacks the form token of its session");
    return of_signed_in();
}

Response Visit::of_everybody() {
    const std::string& what = request_.path[1];
    if (what == "state" && is("GET", 2)) return state();
    if (what == "set-up" && is("POST", 2)) return set_up();
    if (what == "sign-in" && is("POST", 2)) return sign_in();
    if (what == "links" && is("GET", 3)) return link(request_.path[2]);
    return nothing_here();
}

Response Visit::state() {
    const auto accounts = accounts_.all();
    if (!accounts) return refusal_of(accounts.error());
    return document(Json{{"schema", "revwright.server/1"}, {"set_up", !accounts->empty()}});
}

/// Only while nobody has an account, and only with the code that was shown where the server was started.
Response Visit::set_up() {
    const std::scoped_lock lock(router_.mutex_);
    if (!router_.tries_.may_try("set-up")) return refusal(429, "too many tries: wait a minute");
    const auto accounts = accounts_.all();
    if (!accounts) return refusal_of(accounts.error());
    if (!accounts->empty()) return refusal(409, "the shop is set up already");
    if (!same_secret(said("code"), router_.set_up_code_)) {
        router_.tries_.failed("set-up");
        return refusal(403, "this is not the code that was shown when the server was started");
    }
    const auto owner = accounts_.add(said("name"), Role::owner, said("password"));
    if (!owner) return refusal_of(owner.error());
    router_.set_up_code_.clear();
    const auto in = accounts_.sign_in(owner->name, said("password"));
    if (!in) return refusal_of(in.error());
    return signed_in(**in, *owner);
}

Response Visit::sign_in() {
    const std::string name = said("name"), address = "from " + request_.from;
    {
        const std::scoped_lock lock(router_.mutex_);
        if (!router_.tries_.may_try(name) || !router_.tries_.may_try(address))
            return refusal(429, "too many tries: wait a minute");
    }
    const auto in = accounts_.sign_in(name, said("password"));
    if (!in) return refusal_of(in.error());
    const std::scoped_lock lock(router_.mutex_);
    if (!*in) {
        router_.tries_.failed(name);
        router_.tries_.failed(address);
        return refusal(403, "name or password are wrong");
    }
    router_.tries_.succeeded(name);
    const auto account = accounts_.find(name);
    if (!account) return refusal_of(account.error());
    return signed_in(**in, **account);
}

Response Visit::signed_in(const Accounts::SignedIn& in, const Account& account) const {
    Response response = document(
        Json{{"name", account.name}, {"role", to_string(account.role)}, {"form_token", in.session.form_token}});
    std::string cookie = std::string(kCookie) + "=" + in.token +
                         "; Path=/; HttpOnly; SameSite=Strict; Max-Age=" + std::to_string(kSessionSeconds);
    if (router_.options_.behind_tls) cookie += "; Secure";
    response.headers.emplace_back("Set-Cookie", std::move(cookie));
    return response;
}

Response Visit::me() const {
    return document(Json{{"name", visitor_->account.name},
                         {"role", to_string(visitor_->account.role)},
                         {"form_token", visitor_->session.form_token}});
}

Response Visit::of_signed_in() {
    const std::string& what = request_.path[1];
    if (what == "me" && is("GET", 2)) return me();
    if (what == "sign-out" && is("POST", 2)) {
        if (const auto out = accounts_.sign_out(request_.cookie(kCookie)); !out) return refusal_of(out.error());
        Response response = document(Json::object());
        response.headers.emplace_back("Set-Cookie",
                                      std::string(kCookie) + "=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0");
        return response;
    }
    if (what == "accounts") return of_accounts();
    if (what == "history" && is("GET", 2)) {
        const auto history = book_.history();
        return history ? document(wire::history_json(*history)) : refusal_of(history.error());
    }
    if (what == "jobs" && is("GET", 2)) {
        const auto jobs = app::jobs_of(book_);
        return jobs ? document(wire::jobs_json(*jobs)) : refusal_of(jobs.error());
    }
    if (what == "jobs" && request_.path.size() > 2) return of_job();
    return nothing_here();
}

Response Visit::of_accounts() {
    if (!may({Role::owner})) return not_allowed();
    if (is("GET", 2)) {
        const auto accounts = accounts_.all();
        if (!accounts) return refusal_of(accounts.error());
        Json list = Json::array();
        for (const Account& account : *accounts)
            list.push_back({{"name", account.name}, {"role", to_string(account.role)}});
        return document(Json{{"accounts", std::move(list)}});
    }
    if (is("POST", 2)) {
        const auto role = role_of(said("role"));
        if (!role) return refusal(422, "expected a role: owner, calibrator or technician");
        const auto added = accounts_.add(said("name"), *role, said("password"));
        return added ? document(Json{{"name", added->name}, {"role", to_string(added->role)}})
                     : refusal_of(added.error());
    }
    if (is("DELETE", 3)) {
        if (request_.path[2] == visitor_->account.name) return refusal(422, "nobody removes their own account");
        const auto removed = accounts_.remove(request_.path[2]);
        return removed ? document(Json::object()) : refusal_of(removed.error());
    }
    return nothing_here();
}

Response Visit::of_job() {
    const std::string& id = request_.path[2];
    if (is("GET", 3)) return told(app::job_of(book_, id));
    if (is("GET", 5) && request_.path[3] == "files") return file(id, request_.path[4]);
    if (request_.path.size() == 4 && request_.path[3] == "links") return of_links(id);
    if (is("POST", 4)) return of_step(id, request_.path[3]);
    return nothing_here();
}

Response Visit::of_step(const std::string& id, const std::string& step) {
    if (step == "runs") return add_run(id);
    const bool known = step == "propose" || step == "approve" || step == "release" || step == "waive" || step == "sign";
    if (!known) return nothing_here();
    if (!may({Role::owner, Role::calibrator})) return not_allowed();
    if (step == "propose") return told(app::propose_next(book_, id, who()));
    if (step == "approve") return told(app::approve_proposal(book_, id, std::nullopt, who()));
    if (step == "release") return told(app::release_revision(book_, id, who()));
    if (step == "waive") return told(app::waive_finding(book_, id, said("check"), said("reason"), who()));
    return told(app::sign_job(book_, id, said("reason"), who()));
}

Response Visit::add_run(const std::string& id) {
    if (!request_.upload) return refusal(422, "expected the log as the body of the request, found none");
    app::NewRun run{.log = request_.upload->parent_path() / file_name(request_.asked("name"))};
    std::error_code error;
    std::filesystem::rename(*request_.upload, run.log, error);
    if (error) return refusal(503, "the uploaded log cannot be put aside: " + error.message());
    if (const std::string text = request_.asked("revision"); !text.empty()) {
        std::size_t revision = 0;
        const auto [end, wrong] = std::from_chars(text.data(), text.data() + text.size(), revision);
        if (wrong != std::errc() || end != text.data() + text.size())
            return refusal(422, "expected the number of a revision, found " + text);
        run.revision = revision;
    }
    for (const char* key : kRunKeys)
        if (std::string value = request_.asked(key); !value.empty()) run.said.emplace_back(key, std::move(value));
    const auto added = app::add_run(book_, id, run, who());
    if (!added) {
        Error told = added.error();
        told.what = describe({told.fault, told.what,
                              told.place ? std::optional<Place>(Place{run.log.filename().string(), told.place->line,
                                                                      told.place->column, told.place->byte})
                                         : std::nullopt});
        return refusal_of(told);
    }
    return document(wire::story_json(added->story));
}

Response Visit::file(const std::string& id, const std::string& digest) {
    const auto story = app::job_of(book_, id);
    if (!story) return refusal_of(story.error());
    const auto wanted = digest_from_hex(digest);
    const KeptFile* file = wanted ? file_of(*story, *wanted) : nullptr;
    if (!file) return refusal(404, "the job has no such file");
    auto bytes = book_.fetch(file->digest);
    if (!bytes) return refusal_of(bytes.error());
    Response response{.type = "application/octet-stream", .body = *std::move(bytes)};
    response.headers.emplace_back("Content-Disposition", "attachment; filename=\"" + file_name(file->name) + "\"");
    return response;
}

/// A link lets a customer read one job without an account, until it is taken back. There is one for a job at most.
Response Visit::of_links(const std::string& id) {
    if (!may({Role::owner, Role::calibrator})) return not_allowed();
    if (const auto story = app::job_of(book_, id); !story) return refusal_of(story.error());
    book::Store& notes = book_.notes();
    const auto old = notes.note(kLinkOfJob, id);
    if (!old) return refusal_of(old.error());
    if (*old)
        if (const auto removed = notes.remove_note(kLink, **old); !removed) return refusal_of(removed.error());
    if (is("DELETE", 4)) {
        const auto removed = notes.remove_note(kLinkOfJob, id);
        return removed ? document(Json::object()) : refusal_of(removed.error());
    }
    if (!is("POST", 4)) return nothing_here();
    const std::string token = random_token();
    for (const auto& put : {notes.put_note(kLinkOfJob, id, hash_of(token)), notes.put_note(kLink, hash_of(token), id)})
        if (!put) return refusal_of(put.error());
    return document(Json{{"link", "/api/links/" + token}});
}

Response Visit::link(const std::string& token) {
    const auto id = book_.notes().note(kLink, hash_of(token));
    if (!id) return refusal_of(id.error());
    if (!*id) return refusal(410, "this link leads nowhere: it was taken back, or never given");
    return told(app::job_of(book_, **id));
}

}  // namespace revwright::server
