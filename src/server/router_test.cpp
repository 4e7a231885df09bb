#include "server/router.h"

#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "app/book_steps.h"
#include "app/files.h"
#include "app/test_example_job.h"
#include "formats/csv/writer.h"
#include "rig/drive.h"

namespace revwright::server {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

constexpr const char* kPassword = "a long password";

struct Browser {
    std::string cookie = {}, form_token = {};
};

/// A shop with the example job, and browsers that ask it.
class RouterOfAShop : public testing::Test {
protected:
    void SetUp() override {
        const auto* test = testing::UnitTest::GetInstance()->current_test_info();
        folder_ = fs::path(testing::TempDir()) / (std::string("router_") + test->name());
        fs::remove_all(folder_);
        app::write_example_job(folder_ / "job");
        auto book = app::open_book((folder_ / "book").string()).value();
        id_ = app::add_job(book, folder_ / "job/job.toml", {"Ilse Arnd", "2026-03-14T09:30:00Z"}).value().id;
        restart();
    }
    void TearDown() override {
        router_.reset();
        fs::remove_all(folder_);
    }
    void restart() {
        router_ = Router::open({.book = (folder_ / "book").string(),
                                .clock = [this] { return now_; },
                                .now_utc = [] { return std::string("2026-03-14T10:00:00Z"); }})
                      .value();
    }

    Response ask(const std::string& method, const std::string& target, const Browser& browser = {},
                 const json& body = {}, const std::map<std::string, std::string>& headers = {}) {
        Request request = request_of(method, target).value();
        request.from = "127.0.0.1";
        request.headers = headers;
        request.headers.emplace("host", "shop:8080");
        if (!browser.form_token.empty()) request.headers.emplace("x-form-token", browser.form_token);
        if (!browser.cookie.empty()) request.cookies["revwright_session"] = browser.cookie;
        if (!body.is_null()) request.body = body.dump();
        request.upload = upload_;
        return router_->answer(request);
    }
    static Browser browser_of(const Response& response) {
        Browser browser{.form_token = json::parse(response.body).value("form_token", "")};
        for (const auto& [name, value] : response.headers)
            if (name == "Set-Cookie") browser.cookie = value.substr(18, 64);
        return browser;
    }
    Browser set_up() {
        const Response response = ask("POST", "/api/set-up", {},
                                      {{"code", router_->set_up_code()}, {"name", "Ada"}, {"password", kPassword}});
        EXPECT_EQ(response.status, 200) << response.body;
        return browser_of(response);
    }
    Browser hired(const Browser& owner, const std::string& name, const std::string& role) {
        EXPECT_EQ(ask("POST", "/api/accounts", owner, {{"name", name}, {"role", role}, {"password", kPassword}}).status,
                  200);
        const Response in = ask("POST", "/api/sign-in", {}, {{"name", name}, {"password", kPassword}});
        EXPECT_EQ(in.status, 200) << in.body;
        return browser_of(in);
    }
    std::string job(const std::string& step = "") const { return "/api/jobs/" + id_ + step; }
    /// A drive with the standard image, as if it had just been sent.
    void have_uploaded() {
        const auto job = app::open_job_with_image(folder_ / "job/job.toml").value();
        const TableSet tables = rig::standard_tables();
        const auto run = rig::drive({.job = job.sheet, .tables = tables, .seed = 4, .hardware_fitted = false});
        fs::create_directories(folder_ / "upload");
        upload_ = folder_ / "upload" / "body";
        ASSERT_TRUE(app::write_file(*upload_, csv::write(run->log)));
    }

    std::int64_t now_ = 1000;
    fs::path folder_;
    std::string id_;
    std::unique_ptr<Router> router_;
    std::optional<fs::path> upload_;
};

TEST_F(RouterOfAShop, TheFirstOwnerNeedsTheCodeAndThereIsOne) {
    EXPECT_EQ(json::parse(ask("GET", "/api/state").body)["set_up"], false);
    const std::string code = router_->set_up_code();
    EXPECT_GE(code.size(), 16u);
    const auto with = [&](const std::string& given) {
        return ask("POST", "/api/set-up", {}, {{"code", given}, {"name", "Eve"}, {"password", kPassword}}).status;
    };
    EXPECT_EQ(with(""), 403);
    EXPECT_EQ(with("0000000000000000"), 403);
    const Browser owner = set_up();
    EXPECT_EQ(json::parse(ask("GET", "/api/me", owner).body)["role"], "owner");
    EXPECT_EQ(json::parse(ask("GET", "/api/state").body)["set_up"], true);
    EXPECT_EQ(router_->set_up_code(), "");
    EXPECT_EQ(with(code), 409);
    restart();
    EXPECT_EQ(router_->set_up_code(), "");
    EXPECT_EQ(ask("GET", "/api/me", owner).status, 200);  // sessions outlive the server
}

TEST_F(RouterOfAShop, WhoIsNotSignedInSeesNothing) {
    set_up();
    for (const char* target : {"/api/me", "/api/jobs", "/api/history", "/api/accounts", "/api/whatever"})
        EXPECT_EQ(ask("GET", target).status, 401) << target;
    EXPECT_EQ(ask("GET", job()).status, 401);
    EXPECT_EQ(ask("POST", job("/release")).status, 401);
    EXPECT_EQ(ask("GET", job(), {.cookie = std::string(64, '0')}).status, 401);  // forged
    EXPECT_EQ(ask("GET", "/").status, 404);
    EXPECT_EQ(ask("GET", "/elsewhere/x").status, 404);
    EXPECT_EQ(ask("PUT", "/api/jobs").status, 405);
}

TEST_F(RouterOfAShop, AnotherPageCannotActInAVisitorsName) {
    const Browser owner = set_up();
    const json account{{"name", "Eve"}, {"role", "owner"}, {"password", kPassword}};
    EXPECT_EQ(ask("POST", "/api/accounts", {.cookie = owner.cookie}, account).status, 403);  // no form token
    EXPECT_EQ(ask("POST", "/api/accounts", {owner.cookie, random_token()}, account).status, 403);
    EXPECT_EQ(ask("POST", "/api/accounts", owner, account, {{"origin", "http://evil.example"}}).status, 403);
    EXPECT_EQ(ask("POST", "/api/accounts", owner, account, {{"origin", "null"}}).status, 403);
    EXPECT_EQ(ask("POST", "/api/accounts", owner, account, {{"sec-fetch-site", "cross-site"}}).status, 403);
    EXPECT_EQ(ask("POST", "/api/sign-in", {}, account, {{"origin", "http://evil.example"}}).status, 403);
    EXPECT_EQ(ask("POST", "/api/accounts", owner, account, {{"origin", "http://shop:8080"}}).status, 200);
}

TEST_F(RouterOfAShop, ARoleMayDoWhatIsItsAndNothingElse) {
    const Browser owner = set_up();
    const Browser calibrator = hired(owner, "Ilse", "calibrator"), technician = hired(owner, "Bo", "technician");
    for (const char* step : {"/propose", "/approve", "/release", "/waive", "/sign", "/links"})
        EXPECT_EQ(ask("POST", job(step), technician, json::object()).status, 403) << step;
    for (const Browser& browser : {calibrator, technician}) {
        EXPECT_EQ(ask("GET", "/api/accounts", browser).status, 403);
        EXPECT_EQ(
            ask("POST", "/api/accounts", browser, {{"name", "x"}, {"role", "owner"}, {"password", kPassword}}).status,
            403);
        EXPECT_EQ(ask("DELETE", "/api/accounts/Ada", browser).status, 403);
    }
    EXPECT_EQ(json::parse(ask("GET", "/api/accounts", owner).body)["accounts"].size(), 3u);
    EXPECT_EQ(ask("DELETE", "/api/accounts/Ada", owner).status, 422);
    EXPECT_EQ(ask("DELETE", "/api/accounts/Bo", owner).status, 200);
    EXPECT_EQ(ask("GET", "/api/me", technician).status, 401);  // at once
    EXPECT_EQ(ask("POST", "/api/accounts", owner, {{"name", "x"}, {"role", "king"}, {"password", kPassword}}).status,
              422);
}

TEST_F(RouterOfAShop, PasswordsCannotBeTriedWithoutEnd) {
    hired(set_up(), "Bo", "technician");
    const auto try_with = [&](const char* password) {
        return ask("POST", "/api/sign-in", {}, {{"name", "Bo"}, {"password", password}}).status;
    };
    for (int i = 0; i < 5; ++i) EXPECT_EQ(try_with("wrong password"), 403);
    EXPECT_EQ(try_with("wrong password"), 429);
    EXPECT_EQ(try_with(kPassword), 429);
    now_ += 60;
    EXPECT_EQ(try_with(kPassword), 200);
}

TEST_F(RouterOfAShop, TheLoopFromALogToARelease) {
    const Browser owner = set_up();
    const Browser calibrator = hired(owner, "Ilse", "calibrator"), technician = hired(owner, "Bo", "technician");
    EXPECT_EQ(json::parse(ask("GET", "/api/jobs", technician).body)["jobs"][0]["waits_for"], "technician");
    EXPECT_EQ(ask("POST", job("/runs?name=run.csv"), technician).status, 422);  // nothing was sent
    have_uploaded();
    const Response added = ask("POST", job("/runs?name=..%2d%2drun.csv&place=road&ambient_temp_c=19"), technician);
    ASSERT_EQ(added.status, 200) << added.body;
    upload_.reset();
    json story = json::parse(added.body);
    EXPECT_EQ(story["revisions"][0]["runs"][0]["by"], "Bo");
    const std::string log = story["revisions"][0]["runs"][0]["log"]["sha256"];
    EXPECT_EQ(ask("POST", job("/propose"), calibrator).status, 200);
    EXPECT_EQ(ask("POST", job("/approve"), calibrator).status, 200);
    story = json::parse(ask("POST", job("/release"), calibrator).body);
    EXPECT_EQ(story["waits_for"], "technician");
    EXPECT_EQ(story["revisions"][1]["released_by"], "Ilse");
    // The technician takes the image to the car.
    const std::string image = story["revisions"][1]["image"]["sha256"];
    const Response file = ask("GET", job("/files/" + image), technician);
    EXPECT_EQ(file.status, 200);
    EXPECT_EQ(to_hex(sha256({reinterpret_cast<const std::uint8_t*>(file.body.data()), file.body.size()})), image);
    EXPECT_EQ(ask("GET", job("/files/" + log), technician).status, 200);
    EXPECT_EQ(ask("GET", job("/files/" + std::string(64, 'a')), technician).status, 404);
    EXPECT_EQ(ask("GET", job("/files/passwd"), technician).status, 404);
    EXPECT_EQ(ask("POST", job("/release"), calibrator).status, 422);
    EXPECT_EQ(ask("POST", job("/sign"), calibrator, {{"reason", "agreed"}}).status, 422);
    EXPECT_EQ(json::parse(ask("GET", "/api/history", owner).body)["entries"].size(), 5u);
    EXPECT_EQ(ask("GET", "/api/jobs/none", owner).status, 404);
    EXPECT_EQ(ask("POST", job("/paint"), owner).status, 404);
}

TEST_F(RouterOfAShop, ACustomersLinkReadsOneJobUntilItIsTakenBack) {
    const Browser owner = set_up();
    const std::string first = json::parse(ask("POST", job("/links"), owner).body)["link"];
    EXPECT_EQ(json::parse(ask("GET", first).body)["id"], id_);
    EXPECT_EQ(ask("POST", first).status, 401);
    const std::string second = json::parse(ask("POST", job("/links"), owner).body)["link"];
    EXPECT_EQ(ask("GET", first).status, 410);  // a new one takes the old one's place
    EXPECT_EQ(ask("GET", second).status, 200);
    EXPECT_EQ(ask("DELETE", job("/links"), owner).status, 200);
    EXPECT_EQ(ask("GET", second).status, 410);
    EXPECT_EQ(ask("GET", "/api/links/x").status, 410);
}

TEST_F(RouterOfAShop, BodiesThatAreNoDocumentAreRefused) {
    const Browser owner = set_up();
    Request request = request_of("POST", "/api/accounts").value();
    request.headers = {{"x-form-token", owner.form_token}};
    request.cookies["revwright_session"] = owner.cookie;
    for (const char* body : {"", "{", "[1]", "\"x\"", "{\"name\":4}", "{\"role\":\"owner\"}", "\xff\xfe"}) {
        request.body = body;
        EXPECT_EQ(router_->answer(request).status, 422) << body;
    }
    request.body = std::string(70'000, ' ');
    EXPECT_EQ(router_->answer(request).status, 413);
}

}  // namespace
}  // namespace revwright::server
