#include "server/http.h"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace revwright::server {
namespace {

std::string found(const std::map<std::string, std::string>& in, const std::string& name) {
    const auto at = in.find(name);
    return at == in.end() ? std::string() : at->second;
}

std::optional<unsigned> hex_digit(char c) {
    if (c >= '0' && c <= '9') return static_cast<unsigned>(c - '0');
    const char low = static_cast<char>(c | 0x20);
    if (low >= 'a' && low <= 'f') return static_cast<unsigned>(low - 'a' + 10);
    return std::nullopt;
}

/// Percent escapes decoded [RFC3986]; nothing where one is broken or stands for a control character.
std::optional<std::string> decoded(std::string_view text) {
    std::string plain;
    for (std::size_t i = 0; i < text.size(); ++i) {
        char c = text[i];
        if (c == '%') {
            if (i + 2 >= text.size()) return std::nullopt;
            const auto high = hex_digit(text[i + 1]), low = hex_digit(text[i + 2]);
            if (!high || !low) return std::nullopt;
            c = static_cast<char>(*high * 16 + *low);
            i += 2;
        }
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) return std::nullopt;
        plain += c;
    }
    return plain;
}

std::string_view until(std::string_view& rest, char mark) {
    const std::size_t end = std::min(rest.find(mark), rest.size());
    const std::string_view part = rest.substr(0, end);
    rest.remove_prefix(std::min(end + 1, rest.size()));
    return part;
}

std::string_view trimmed(std::string_view text) {
    while (text.starts_with(' ')) text.remove_prefix(1);
    while (text.ends_with(' ')) text.remove_suffix(1);
    return text;
}

}  // namespace

std::string Request::header(const std::string& name) const { return found(headers, name); }
std::string Request::cookie(const std::string& name) const { return found(cookies, name); }
std::string Request::asked(const std::string& name) const { return found(query, name); }

std::optional<Request> request_of(std::string_view method, std::string_view target) {
    if (!target.starts_with('/')) return std::nullopt;
    Request request{.method = std::string(method)};
    std::string_view query = target;
    std::string_view path = until(query, '?').substr(1);
    while (!path.empty()) {
        const auto step = decoded(until(path, '/'));
        if (!step || step->empty() || *step == "." || *step == ".." || step->find_first_of("/\\") != std::string::npos)
            return std::nullopt;
        request.path.push_back(*step);
    }
    while (!query.empty()) {
        std::string_view value = until(query, '&');
        const auto name = decoded(until(value, '=')), text = decoded(value);
        if (!name || !text) return std::nullopt;
        request.query[*name] = *text;
    }
    return request;
}

std::map<std::string, std::string> cookies_of(std::string_view header) {
    std::map<std::string, std::string> cookies;
    while (!header.empty()) {
        std::string_view value = until(header, ';');
        const std::string_view name = trimmed(until(value, '='));
        if (!name.empty()) cookies.emplace(name, trimmed(value));  // of two of one name the first counts
    }
    return cookies;
}

Response refusal(int status, const std::string& what) {
    const nlohmann::json json{{"error", what}};
    return {.status = status, .body = json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n"};
}

std::vector<std::pair<std::string, std::string>> guarding_headers() {
    return {{"Content-Security-Policy",
             "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src "
             "'self'; "
             "form-action 'none'; base-uri 'none'; frame-ancestors 'none'"},
            {"X-Content-Type-Options", "nosniff"},
            {"Referrer-Policy", "no-referrer"},
            {"Cross-Origin-Opener-Policy", "same-origin"},
            {"Cross-Origin-Resource-Policy", "same-origin"},
            {"Permissions-Policy", "camera=(), geolocation=(), microphone=()"},
            {"Cache-Control", "no-store"}};
}

}  // namespace revwright::server
