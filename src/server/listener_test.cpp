#include "server/listener.h"

#include <arpa/inet.h>
#include <chrono>
#include <filesystem>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <thread>
#include <unistd.h>
#include <vector>

#include "app/book_steps.h"
#include "app/files.h"
#include "app/test_example_job.h"
#include "formats/csv/writer.h"
#include "rig/drive.h"

namespace revwright::server {
namespace {

namespace fs = std::filesystem;

/// A connection as a browser has one, without a browser's manners.
class Line {
public:
    explicit Line(unsigned short port) : socket_(::socket(AF_INET, SOCK_STREAM, 0)) {
        sockaddr_in to{};
        to.sin_family = AF_INET;
        to.sin_port = htons(port);
        ::inet_pton(AF_INET, "127.0.0.1", &to.sin_addr);
        if (::connect(socket_, reinterpret_cast<const sockaddr*>(&to), sizeof to) != 0)
            throw std::runtime_error("no server");
        const timeval patience{20, 0};
        ::setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    }
    ~Line() { ::close(socket_); }
    Line(const Line&) = delete;
    Line& operator=(const Line&) = delete;

    /// False where the other side has closed.
    bool say(std::string_view text) {
        while (!text.empty()) {
            const ssize_t sent = ::send(socket_, text.data(), text.size(), MSG_NOSIGNAL);
            if (sent <= 0) return false;
            text.remove_prefix(static_cast<std::size_t>(sent));
        }
        return true;
    }
    /// All that comes until `end` is in it, or until the other side closes.
    std::string hear(std::string_view end = "") {
        char room[4096];
        while (end.empty() || heard_.find(end) == std::string::npos) {
            const ssize_t got = ::recv(socket_, room, sizeof room, 0);
            if (got <= 0) break;
            heard_.append(room, static_cast<std::size_t>(got));
        }
        return std::exchange(heard_, {});
    }
    void end() { ::shutdown(socket_, SHUT_WR); }

private:
    int socket_;
    std::string heard_;
};

int status_of(const std::string& answer) {
    return answer.starts_with("HTTP/1.1 ") ? std::stoi(answer.substr(9, 3)) : 0;
}

class ListenerOfAShop : public testing::Test {
protected:
    void SetUp() override {
        const auto* test = testing::UnitTest::GetInstance()->current_test_info();
        folder_ = fs::path(testing::TempDir()) / (std::string("listener_") + test->name());
        fs::remove_all(folder_);
        app::write_example_job(folder_ / "job");
        book_ = std::make_unique<book::Book>(app::open_book((folder_ / "book").string()).value());
        id_ = app::add_job(*book_, folder_ / "job/job.toml", {"Ilse", "2026-03-14T09:30:00Z"}).value().id;
        start({.port = 0, .most_upload = 8 << 20, .idle_seconds = 2});
    }
    void start(const ListenOptions& options) {
        router_ = Router::open({.book = (folder_ / "book").string(),
                                .clock = [] { return std::int64_t{1000}; },
                                .now_utc = [] { return std::string("2026-03-14T10:00:00Z"); }})
                      .value();
        listener_ = Listener::open(*router_, options).value();
        running_ = std::thread([this] { listener_->run(); });
    }
    void TearDown() override {
        if (running_.joinable()) {
            listener_->stop();
            running_.join();
        }
        listener_.reset();
        router_.reset();
        book_.reset();
        fs::remove_all(folder_);
    }

    std::string ask(const std::string& request) const {
        Line line(listener_->port());
        line.say(request);
        return line.hear();
    }
    /// Signs the owner in: the head lines that every later request of them carries.
    std::string owner() {
        const std::string body =
            fmt::format(R"({{"code":"{}","name":"Ada","password":"a long password"}})", router_->set_up_code());
        const std::string in =
            ask(fmt::format("POST /api/set-up HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: "
                            "{}\r\n\r\n{}",
                            body.size(), body));
        EXPECT_EQ(status_of(in), 200) << in;
        const std::size_t cookie = in.find("revwright_session="), token = in.find("\"form_token\": \"");
        EXPECT_NE(token, std::string::npos) << in;
        return fmt::format("Host: x\r\nCookie: {}\r\nX-Form-Token: {}\r\n", in.substr(cookie, 82),
                           in.substr(token + 15, 64));
    }
    std::string log(std::uint64_t seed) const {
        const auto job = app::open_job_with_image(folder_ / "job/job.toml").value();
        const TableSet tables = rig::standard_tables();
        return csv::write(
            rig::drive({.job = job.sheet, .tables = tables, .seed = seed, .hardware_fitted = false})->log);
    }

    fs::path folder_;
    std::string id_;
    std::unique_ptr<book::Book> book_;
    std::unique_ptr<Router> router_;
    std::unique_ptr<Listener> listener_;
    std::thread running_;
};

TEST_F(ListenerOfAShop, AnswersSeveralRequestsOfOneConnectionWithItsGuards) {
    Line line(listener_->port());
    for (int i = 0; i < 3; ++i) {
        line.say("GET /api/state HTTP/1.1\r\nHost: x\r\n\r\n");
        const std::string answer = line.hear("}\n");
        EXPECT_EQ(status_of(answer), 200);
        for (const char* header : {"Content-Security-Policy: default-src 'none'", "X-Content-Type-Options: nosniff",
                                   "Referrer-Policy: no-referrer", "Cache-Control: no-store", "frame-ancestors 'none'"})
            EXPECT_NE(answer.find(header), std::string::npos) << header;
    }
}

TEST_F(ListenerOfAShop, WhatIsNoGoodRequestGetsAClearAnswer) {
    EXPECT_EQ(status_of(ask("this is no request\r\n\r\n")), 400);
    EXPECT_EQ(status_of(ask("GET /../../etc/passwd HTTP/1.1\r\nHost: x\r\n\r\n")), 400);
    EXPECT_EQ(status_of(ask("GET /api/%2e%2e/%2e%2e/etc HTTP/1.1\r\nHost: x\r\n\r\n")), 400);
    EXPECT_EQ(status_of(ask("GET /" + std::string(20'000, 'a') + " HTTP/1.1\r\nHost: x\r\n\r\n")), 431);
    EXPECT_EQ(status_of(ask("POST /api/sign-in HTTP/1.1\r\nHost: x\r\nContent-Length: 100000\r\n\r\n")), 413);
    EXPECT_EQ(status_of(ask("POST /api/sign-in HTTP/1.1\r\nHost: x\r\nContent-Length: 99999999999\r\n\r\n")), 413);
    EXPECT_EQ(status_of(ask("POST /api/sign-in HTTP/1.1\r\nHost: x\r\nContent-Length: -5\r\n\r\n")), 400);
    EXPECT_EQ(status_of(ask("GET /api/state HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")),
              200);  // it still stands
}

TEST_F(ListenerOfAShop, WhoSaysNothingIsSentHome) {
    Line silent(listener_->port()), slow(listener_->port());
    slow.say("POST /api/sign-in HTTP/1.1\r\nHost: x\r\nContent-Length: 50\r\n\r\n{");
    const auto begin = std::chrono::steady_clock::now();
    EXPECT_EQ(silent.hear(), "");
    EXPECT_EQ(slow.hear(), "");
    EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(15));
}

TEST_F(ListenerOfAShop, ALogIsTakenFromWhoMaySendIt) {
    const std::string head = owner(), text = log(4);
    const std::string target = "/api/jobs/" + id_ + "/runs?name=run.csv";
    const std::string answer = ask(fmt::format(
        "POST {} HTTP/1.1\r\n{}Connection: close\r\nContent-Length: {}\r\n\r\n{}", target, head, text.size(), text));
    EXPECT_EQ(status_of(answer), 200) << answer;
    EXPECT_NE(answer.find("run.csv"), std::string::npos);
    // The same in chunks, which say no length: this very log is there already.
    std::string chunks =
        fmt::format("POST {} HTTP/1.1\r\n{}Connection: close\r\nTransfer-Encoding: chunked\r\n\r\n", target, head);
    for (std::size_t at = 0; at < text.size(); at += 50'000) {
        const std::string part = text.substr(at, 50'000);
        chunks += fmt::format("{:x}\r\n{}\r\n", part.size(), part);
    }
    const std::string again = ask(chunks + "0\r\n\r\n");
    EXPECT_EQ(status_of(again), 422);
    EXPECT_NE(again.find("this very log is in the job already"), std::string::npos) << again;
    EXPECT_EQ(status_of(ask(fmt::format("POST {} HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\n\r\nhello", target))),
              401);
    const std::string prose =
        ask(fmt::format("POST {} HTTP/1.1\r\n{}Connection: close\r\nContent-Length: 5\r\n\r\nhello", target, head));
    EXPECT_EQ(status_of(prose), 422) << prose;
    EXPECT_EQ(book_->history()->size(), 2u);
}

TEST_F(ListenerOfAShop, ALogBeyondTheLimitIsRefusedHoweverItIsSent) {
    const std::string head = owner(), target = "/api/jobs/" + id_ + "/runs?name=run.csv";
    EXPECT_EQ(status_of(ask(fmt::format("POST {} HTTP/1.1\r\n{}Content-Length: 9000000\r\n\r\n", target, head))), 413);
    Line endless(listener_->port());
    endless.say(fmt::format("POST {} HTTP/1.1\r\n{}Transfer-Encoding: chunked\r\n\r\n", target, head));
    const std::string part = fmt::format("{:x}\r\n{}\r\n", 1 << 16, std::string(1 << 16, '7'));
    int sent = 0;
    while (sent < 10'000 && endless.say(part)) ++sent;  // without end, were it not ended
    EXPECT_LT(sent, 10'000);
    EXPECT_EQ(book_->history()->size(), 1u);
}

TEST_F(ListenerOfAShop, AnUploadThatBreaksOffLeavesNothing) {
    const std::string head = owner();
    {
        Line line(listener_->port());
        line.say(fmt::format("POST /api/jobs/{}/runs?name=run.csv HTTP/1.1\r\n{}Content-Length: 100000\r\n\r\ntime_s,",
                             id_, head));
    }
    EXPECT_EQ(status_of(ask("GET /api/state HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")), 200);
    EXPECT_EQ(book_->history()->size(), 1u);
    EXPECT_EQ(book_->verify()->files, 3u);
}

TEST_F(ListenerOfAShop, NewsComesToWhoWaitsForIt) {
    const std::string head = owner();
    EXPECT_EQ(status_of(ask("GET /api/events HTTP/1.1\r\nHost: x\r\n\r\n")), 401);
    std::vector<std::unique_ptr<Line>> viewers;
    for (int i = 0; i < 200; ++i) {
        viewers.push_back(std::make_unique<Line>(listener_->port()));
        viewers.back()->say("GET /api/events HTTP/1.1\r\n" + head + "\r\n");
    }
    EXPECT_NE(viewers.front()->hear("data: {\"entry\":1}").find("text/event-stream"), std::string::npos);
    ASSERT_TRUE(book_->record({"2026-03-14T11:00:00Z", "Ilse", "another", JobAdded{}}));  // by another program
    for (const auto& viewer : viewers) EXPECT_NE(viewer->hear("data: {\"entry\":2}"), "");
    EXPECT_EQ(status_of(ask("GET /api/state HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")), 200);
    // It stops at once all the same, and says goodbye to everybody.
    const auto begin = std::chrono::steady_clock::now();
    listener_->stop();
    running_.join();
    EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(5));
    viewers.front()->hear();
}

TEST_F(ListenerOfAShop, ManyUploadsAtOnceAreAllTaken) {
    const std::string head = owner();
    constexpr int kMany = 8;
    std::vector<std::string> answers(kMany);
    std::vector<std::thread> senders;
    for (int i = 0; i < kMany; ++i)
        senders.emplace_back([&, i] {
            const std::string text = log(static_cast<std::uint64_t>(10 + i));
            answers[static_cast<std::size_t>(i)] = ask(
                fmt::format("POST /api/jobs/{}/runs?name=run-{}.csv HTTP/1.1\r\n{}Connection: close\r\nContent-Length: "
                            "{}\r\n\r\n{}",
                            id_, i, head, text.size(), text));
        });
    for (std::thread& sender : senders) sender.join();
    int taken = 0;
    for (const std::string& answer : answers) {
        taken += status_of(answer) == 200 ? 1 : 0;
        EXPECT_EQ(status_of(answer), 200) << answer;
    }
    EXPECT_EQ(taken, kMany);
    EXPECT_EQ(book_->history()->size(), 1u + kMany);
    EXPECT_TRUE(book_->verify()->faults.empty());
}

TEST_F(ListenerOfAShop, AnAddressThatIsTakenIsRefused) {
    const auto second = Listener::open(*router_, {.address = "127.0.0.1", .port = listener_->port()});
    ASSERT_FALSE(second);
    EXPECT_EQ(second.error().fault, Fault::io);
    EXPECT_FALSE(Listener::open(*router_, {.address = "nowhere"}));
}

}  // namespace
}  // namespace revwright::server
