// The only file that includes Beast: it takes half a minute to compile.
#include "server/listener.h"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/thread_pool.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <csignal>
#include <fmt/format.h>
#include <fstream>
#include <set>
#include <utility>

#include "app/temporary_folder.h"

namespace revwright::server {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using tcp = asio::ip::tcp;
using Code = boost::system::error_code;

constexpr auto kQuietly = asio::as_tuple(asio::use_awaitable);
constexpr std::size_t kWorkers = 2, kBuffer = 128 * 1024, kMostHeader = 16 * 1024, kMostDocument = 64 * 1024;
constexpr auto kLook = std::chrono::milliseconds(500);  // for news
constexpr auto kHeartbeat = std::chrono::seconds(15);   // so that a listener who is gone is noticed
constexpr auto kLongestStop = std::chrono::seconds(10);
constexpr const char* kEventsHead = "HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\nConnection: close\r\n";

using Parser = http::request_parser<http::buffer_body>;

std::string lower(std::string_view text) {
    std::string low(text);
    for (char& c : low)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + 32);
    return low;
}

/// Nothing where the target is none of ours to understand.
std::optional<Request> request_from(const Parser& parser) {
    const auto& head = parser.get();
    auto request = request_of({head.method_string().data(), head.method_string().size()},
                              {head.target().data(), head.target().size()});
    if (!request) return request;
    for (const auto& field : head)
        request->headers[lower({field.name_string().data(), field.name_string().size()})] =
            std::string(field.value().data(), field.value().size());
    request->cookies = cookies_of(request->header("cookie"));
    return request;
}

bool sends_a_log(const Request& request) {
    return request.method == "POST" && request.path.size() == 4 && request.path[1] == "jobs" &&
           request.path[3] == "runs";
}

bool asks_for_news(const Request& request) {
    return request.method == "GET" && request.path == std::vector<std::string>{"api", "events"};
}

asio::awaitable<Response> answer_in(Router* router, const Request* request) { co_return router->answer(*request); }
asio::awaitable<bool> asks_signed_in(Router* router, const Request* request) {
    co_return router->is_signed_in(*request);
}
asio::awaitable<Result<std::uint64_t>> newest_of(Router* router) { co_return router->last_entry(); }

class HttpListener final : public Listener {
public:
    HttpListener(Router& router, const ListenOptions& options)
        : router_(router),
          options_(options),
          acceptor_(context_, tcp::endpoint(asio::ip::make_address(options.address), options.port), true),
          signals_(context_, SIGINT, SIGTERM),
          watch_(context_),
          late_(context_) {}

    unsigned short port() const override { return acceptor_.local_endpoint().port(); }

    void run() override {
        signals_.async_wait([this](Code error, int) {
            if (!error) begin_stop();
        });
        asio::co_spawn(context_, accept_all(), asio::detached);
        asio::co_spawn(context_, watch_for_news(), asio::detached);
        context_.run();
        workers_.join();
    }

    void stop() override {
        asio::post(context_, [this] { begin_stop(); });
    }

private:
    using Stream = beast::tcp_stream;

    /// What is known of a connection while it lasts.
    struct Connection {
        explicit Connection(HttpListener& listener, tcp::socket socket)
            : stream(std::move(socket)), all(listener.connections_) {
            all.insert(this);
        }
        ~Connection() { all.erase(this); }
        Connection(const Connection&) = delete;
        Connection& operator=(const Connection&) = delete;
        Stream stream;
        beast::flat_buffer buffer;
        bool waits = true;  // for a request or for news: may be closed at any time
        std::set<Connection*>& all;
    };

    void begin_stop() {
        if (std::exchange(stopping_, true)) return;
        Code ignored;
        acceptor_.close(ignored);
        signals_.cancel(ignored);
        watch_.cancel();
        for (Connection* connection : connections_)
            if (connection->waits) connection->stream.close();
        late_.expires_after(kLongestStop);
        late_.async_wait([this](Code error) {
            if (error) return;
            for (Connection* connection : connections_) connection->stream.close();
        });
        if (connections_.empty()) late_.cancel();
    }

    asio::awaitable<void> accept_all() {
        while (!stopping_) {
            auto [error, socket] = co_await acceptor_.async_accept(kQuietly);
            if (error == asio::error::operation_aborted) break;
            if (error) {  // out of descriptors, say: others may be closed soon
                asio::steady_timer pause(context_, kLook);
                co_await pause.async_wait(kQuietly);
                continue;
            }
            if (connections_.size() >= options_.most_connections) continue;  // closes it
            asio::co_spawn(context_, serve(std::move(socket)), asio::detached);
        }
    }

    asio::awaitable<void> serve(tcp::socket socket) {
        Connection connection(*this, std::move(socket));
        connection.buffer.reserve(kBuffer);
        bool more = true;
        while (more && !stopping_) more = co_await serve_one(connection);
        Code ignored;
        connection.stream.socket().shutdown(tcp::socket::shutdown_send, ignored);
        if (stopping_ && connections_.size() == 1) late_.cancel();  // the last one out
    }

    void expect_soon(Connection& connection) {
        connection.stream.expires_after(std::chrono::seconds(options_.idle_seconds));
    }

    /// One request and its answer. False: the connection ends.
    asio::awaitable<bool> serve_one(Connection& connection) {
        Parser parser;
        parser.header_limit(kMostHeader);
        parser.body_limit(options_.most_upload);
        connection.waits = true;
        expect_soon(connection);
        auto [error, count] = co_await http::async_read_header(connection.stream, connection.buffer, parser, kQuietly);
        connection.waits = false;
        if (error == http::error::header_limit)
            co_return co_await refuse(connection, refusal(431, "expected a head of at most 16 KiB"));
        if (error == http::error::body_limit) co_return co_await refuse(connection, too_long());
        if (error == http::error::end_of_stream || error == beast::error::timeout ||
            error == asio::error::operation_aborted || error == asio::error::connection_reset ||
            error == http::error::partial_message)
            co_return false;
        if (error) co_return co_await refuse(connection, refusal(400, "this is no request of HTTP/1.1"));
        auto request = request_from(parser);
        if (!request) co_return co_await refuse(connection, refusal(400, "the path of the request leads nowhere"));
        Code ignored;
        request->from = connection.stream.socket().remote_endpoint(ignored).address().to_string();
        if (asks_for_news(*request)) co_return co_await tell_news(connection, *request);
        if (sends_a_log(*request)) co_return co_await take_log(connection, parser, *request);
        const auto length = parser.content_length();
        if (length && *length > kMostDocument)
            co_return co_await refuse(connection, refusal(413, "expected a document of at most 64 KiB"));
        const Code read = co_await read_body(connection, parser, nullptr, &request->body, kMostDocument);
        if (read == http::error::body_limit)
            co_return co_await refuse(connection, refusal(413, "expected a document of at most 64 KiB"));
        if (read) co_return false;
        co_return co_await reply(connection, *request, parser.keep_alive());
    }

    Response too_long() const {
        return refusal(413, fmt::format("expected a log of at most {} MiB", options_.most_upload >> 20));
    }

    /// Who may not send a log is told before they have sent it.
    asio::awaitable<bool> take_log(Connection& connection, Parser& parser, Request& request) {
        auto asking = asks_signed_in(&router_, &request);
        const bool known = co_await asio::co_spawn(workers_, std::move(asking), asio::use_awaitable);
        if (!known) co_return co_await refuse(connection, refusal(401, "sign in first"));
        auto folder = app::TemporaryFolder::make();
        if (!folder) co_return co_await refuse(connection, refusal(503, folder.error().what));
        const std::filesystem::path path = folder->path() / "body";
        std::ofstream file(path, std::ios::binary);
        if (parser.get().find(http::field::expect) != parser.get().end()) {
            const std::string go_on = "HTTP/1.1 100 Continue\r\n\r\n";
            auto [error, count] = co_await asio::async_write(connection.stream, asio::buffer(go_on), kQuietly);
            if (error) co_return false;
        }
        const Code read = co_await read_body(connection, parser, &file, nullptr, options_.most_upload);
        if (read == http::error::body_limit) co_return co_await refuse(connection, too_long());
        if (read == boost::system::errc::no_space_on_device)
            co_return co_await refuse(connection, refusal(507, "the disk is full: the log was not taken"));
        if (read) co_return false;
        file.close();
        if (!file) co_return co_await refuse(connection, refusal(507, "the disk is full: the log was not taken"));
        if (std::filesystem::file_size(path) > 0) request.upload = path;
        co_return co_await reply(connection, request, parser.keep_alive());
    }

    /// Into a file or a text.
    asio::awaitable<Code> read_body(Connection& connection, Parser& parser, std::ofstream* file, std::string* text,
                                    std::uint64_t most) {
        std::vector<char> room(kBuffer);
        std::uint64_t all = 0;
        while (!parser.is_done()) {
            auto& body = parser.get().body();
            body.data = room.data();
            body.size = room.size();
            expect_soon(connection);
            auto [error, count] = co_await http::async_read(connection.stream, connection.buffer, parser, kQuietly);
            if (error && error != http::error::need_buffer) co_return error;
            const std::size_t got = room.size() - body.size;
            all += got;
            if (all > most) co_return http::error::body_limit;
            if (text) text->append(room.data(), got);
            if (file && !file->write(room.data(), static_cast<std::streamsize>(got)))
                co_return boost::system::errc::make_error_code(boost::system::errc::no_space_on_device);
        }
        co_return Code{};
    }

    asio::awaitable<bool> reply(Connection& connection, const Request& request, bool keep_alive) {
        connection.stream.expires_never();  // the work takes what it takes
        auto asking = answer_in(&router_, &request);
        const Response response = co_await asio::co_spawn(workers_, std::move(asking), asio::use_awaitable);
        co_return co_await send(connection, response, keep_alive && !stopping_);
    }

    /// What was not read of the request is not waited for.
    asio::awaitable<bool> refuse(Connection& connection, Response response) {
        co_await send(connection, response, false);
        Code ignored;
        connection.stream.socket().shutdown(tcp::socket::shutdown_send, ignored);
        // A little of the rest is taken in, else the answer is lost where the other side is still sending.
        std::vector<char> room(kBuffer);
        connection.stream.expires_after(std::chrono::seconds(2));
        for (int i = 0; i < 1000; ++i) {
            auto [error, count] = co_await connection.stream.async_read_some(asio::buffer(room), kQuietly);
            if (error) break;
        }
        co_return false;
    }

    asio::awaitable<bool> send(Connection& connection, const Response& response, bool keep_alive) {
        http::response<http::string_body> message(static_cast<http::status>(response.status), 11);
        message.set(http::field::content_type, response.type);
        for (const auto& [name, value] : guarding_headers()) message.set(name, value);
        for (const auto& [name, value] : response.headers) message.set(name, value);
        message.keep_alive(keep_alive);
        message.body() = response.body;
        message.prepare_payload();
        expect_soon(connection);
        auto [error, count] = co_await http::async_write(connection.stream, message, kQuietly);
        co_return !error && keep_alive;
    }

    /// The number of the newest entry, as soon as there is one, until the listener goes.
    asio::awaitable<bool> tell_news(Connection& connection, const Request& request) {
        auto asking = asks_signed_in(&router_, &request);
        const bool known = co_await asio::co_spawn(workers_, std::move(asking), asio::use_awaitable);
        if (!known) co_return co_await refuse(connection, refusal(401, "sign in first"));
        connection.waits = true;
        connection.stream.expires_never();
        std::string text = kEventsHead;
        for (const auto& [name, value] : guarding_headers()) text += name + ": " + value + "\r\n";
        text += fmt::format("\r\ndata: {{\"entry\":{}}}\n\n", newest_);
        std::uint64_t told = newest_;
        auto written = std::chrono::steady_clock::now();
        ++watchers_;
        asio::steady_timer timer(context_);
        while (!stopping_) {
            if (!text.empty()) {
                auto [error, count] = co_await asio::async_write(connection.stream, asio::buffer(text), kQuietly);
                if (error) break;
                written = std::chrono::steady_clock::now();
                text.clear();
            }
            timer.expires_after(kLook);
            co_await timer.async_wait(kQuietly);
            if (newest_ != std::exchange(told, newest_)) text = fmt::format("data: {{\"entry\":{}}}\n\n", told);
            if (text.empty() && std::chrono::steady_clock::now() - written > kHeartbeat) text = ": here\n\n";
        }
        --watchers_;
        co_return false;
    }

    asio::awaitable<void> watch_for_news() {
        while (!stopping_) {
            if (watchers_ > 0 || newest_ == 0) {
                auto asking = newest_of(&router_);
                const auto newest = co_await asio::co_spawn(workers_, std::move(asking), asio::use_awaitable);
                if (newest) newest_ = *newest;  // a database that is away comes back
            }
            if (stopping_) break;
            watch_.expires_after(kLook);
            co_await watch_.async_wait(kQuietly);
        }
    }

    Router& router_;
    ListenOptions options_;
    asio::io_context context_{1};
    asio::thread_pool workers_{kWorkers};
    tcp::acceptor acceptor_;
    asio::signal_set signals_;
    asio::steady_timer watch_, late_;
    std::set<Connection*> connections_;
    bool stopping_ = false;
    std::uint64_t newest_ = 0;
    std::size_t watchers_ = 0;
};

}  // namespace

Result<std::unique_ptr<Listener>> Listener::open(Router& router, const ListenOptions& options) {
    try {
        return std::make_unique<HttpListener>(router, options);
    } catch (const boost::system::system_error& error) {
        return fail(Fault::io,
                    fmt::format("cannot listen on {}:{}: {}", options.address, options.port, error.code().message()));
    }
}

}  // namespace revwright::server
