#include "server/http.h"

#include <gtest/gtest.h>

namespace revwright::server {
namespace {

using Steps = std::vector<std::string>;

TEST(Http, ATargetIsTakenApart) {
    const auto request = request_of("GET", "/api/jobs/K%20104?name=run%2d0.csv&place=road&flag");
    ASSERT_TRUE(request);
    EXPECT_EQ(request->path, (Steps{"api", "jobs", "K 104"}));
    EXPECT_EQ(request->asked("name"), "run-0.csv");
    EXPECT_EQ(request->asked("place"), "road");
    EXPECT_EQ(request->asked("flag"), "");
    EXPECT_EQ(request_of("GET", "/")->path, Steps{});
}

TEST(Http, ATargetThatLeadsElsewhereIsNone) {
    for (const char* target : {"", "api", "/../etc/passwd", "/api/../../etc", "/api/%2e%2e/x", "/api/..%2fx",
                               "/api/a%2fb", "/api/a%5cb", "//x", "/api/%00", "/api/%0d%0aSet-Cookie:x", "/api/%",
                               "/api/%4", "/api/%zz", "/a?x=%", "/a?x=%0a", "http://elsewhere/"})
        EXPECT_FALSE(request_of("GET", target)) << target;
}

TEST(Http, CookiesAreReadAndTheFirstOfTwoCounts) {
    const auto cookies = cookies_of("a=1; session=abc=def ;; a=2; =x;b");
    EXPECT_EQ(cookies.at("a"), "1");
    EXPECT_EQ(cookies.at("session"), "abc=def");
    EXPECT_EQ(cookies.at("b"), "");
    EXPECT_EQ(cookies.size(), 3u);
}

TEST(Http, ARefusalSaysWhyInJson) {
    EXPECT_EQ(refusal(404, "no \"such\" thing").body, "{\"error\":\"no \\\"such\\\" thing\"}\n");
    EXPECT_EQ(refusal(404, "\xff").status, 404);  // what is no UTF-8 stops nothing
}

}  // namespace
}  // namespace revwright::server
