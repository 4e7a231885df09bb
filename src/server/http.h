#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace revwright::server {

// What a request asks and what it is answered, apart from any network. Header names are in lower case.

struct Request {
    std::string method = {};             // "GET" ...
    std::vector<std::string> path = {};  // "/api/jobs/K-1" as {"api", "jobs", "K-1"}, decoded
    std::map<std::string, std::string> query = {};
    std::map<std::string, std::string> headers = {};
    std::map<std::string, std::string> cookies = {};
    std::string body = {};
    std::optional<std::filesystem::path> upload = {};  // where a large body was put; it is removed afterwards
    std::string from = {};                             // the address it came from

    std::string header(const std::string& name) const;
    std::string cookie(const std::string& name) const;
    std::string asked(const std::string& name) const;  // in the query
};

struct Response {
    int status = 200;
    std::string type = "application/json";
    std::string body = {};
    std::vector<std::pair<std::string, std::string>> headers = {};
};

/// Takes a request target apart: path and query. Nothing where it is no plain path: a step that is "..", empty or holds
/// a control character, or bad escapes.
std::optional<Request> request_of(std::string_view method, std::string_view target);

/// "a=1; b=2".
std::map<std::string, std::string> cookies_of(std::string_view header);

/// {"error": what}, with the status.
Response refusal(int status, const std::string& what);

/// What every answer carries, so that a page of ours can do no more than it should.
std::vector<std::pair<std::string, std::string>> guarding_headers();

}  // namespace revwright::server
