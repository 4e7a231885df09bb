#include "server/accounts.h"

#include <filesystem>
#include <gtest/gtest.h>

namespace revwright::server {
namespace {

class AccountsOfABook : public testing::Test {
protected:
    void SetUp() override {
        const auto* test = testing::UnitTest::GetInstance()->current_test_info();
        folder_ = std::filesystem::path(testing::TempDir()) / (std::string("accounts_") + test->name());
        std::filesystem::remove_all(folder_);
        book_ = std::make_unique<book::Book>(app::open_book(folder_.string()).value());
        accounts_ = std::make_unique<Accounts>(book_->notes(), [this] { return now_; });
    }
    void TearDown() override {
        book_.reset();
        std::filesystem::remove_all(folder_);
    }

    std::int64_t now_ = 1000;
    std::filesystem::path folder_;
    std::unique_ptr<book::Book> book_;
    std::unique_ptr<Accounts> accounts_;
};

TEST_F(AccountsOfABook, WhoSignsInIsKnownUntilTheyLeaveOrTheTimeIsOver) {
    ASSERT_TRUE(accounts_->add("Ilse Arnd", Role::calibrator, "a long password"));
    EXPECT_FALSE(accounts_->sign_in("Ilse Arnd", "a wrong password").value());
    EXPECT_FALSE(accounts_->sign_in("ilse arnd", "a long password").value());
    EXPECT_FALSE(accounts_->sign_in("", "").value());
    const auto in = accounts_->sign_in("Ilse Arnd", "a long password").value();
    ASSERT_TRUE(in);
    EXPECT_EQ(in->token.size(), 64u);
    EXPECT_NE(in->token, in->session.form_token);
    auto visitor = accounts_->visitor(in->token).value();
    ASSERT_TRUE(visitor);
    EXPECT_EQ(visitor->account.role, Role::calibrator);
    EXPECT_EQ(visitor->session.form_token, in->session.form_token);
    now_ += kSessionSeconds - 1;
    EXPECT_TRUE(accounts_->visitor(in->token).value());
    now_ += 1;
    EXPECT_FALSE(accounts_->visitor(in->token).value());
    now_ -= 1000;
    EXPECT_FALSE(accounts_->visitor(in->token).value());  // over is over
    const auto again = accounts_->sign_in("Ilse Arnd", "a long password").value();
    ASSERT_TRUE(accounts_->sign_out(again->token));
    EXPECT_FALSE(accounts_->visitor(again->token).value());
}

TEST_F(AccountsOfABook, AForgedTokenAndOneOfARemovedAccountAreNobody) {
    ASSERT_TRUE(accounts_->add("Bo Ek", Role::technician, "a long password"));
    const auto in = accounts_->sign_in("Bo Ek", "a long password").value();
    std::string forged = in->token;
    forged[0] = forged[0] == '0' ? '1' : '0';
    for (const std::string& token : {forged, std::string(), std::string("x"), in->token + "0", random_token()})
        EXPECT_FALSE(accounts_->visitor(token).value());
    ASSERT_TRUE(accounts_->remove("Bo Ek"));
    EXPECT_FALSE(accounts_->visitor(in->token).value());
}

TEST_F(AccountsOfABook, TheBookHoldsNoSecretInPlain) {
    ASSERT_TRUE(accounts_->add("Bo Ek", Role::technician, "a long password"));
    const auto in = accounts_->sign_in("Bo Ek", "a long password").value();
    const auto account = book_->notes().note("account", "Bo Ek").value();
    EXPECT_NE(account->find("$argon2id$"), std::string::npos);
    EXPECT_EQ(account->find("long password"), std::string::npos);
    EXPECT_FALSE(book_->notes().note("session", in->token).value());
    const std::vector<book::Note> sessions = book_->notes().notes("session").value();
    EXPECT_EQ(sessions.size(), 1u);
    for (const book::Note& note : sessions) {
        EXPECT_EQ(note.text.find(in->token), std::string::npos);
        EXPECT_NE(note.key, in->token);
    }
}

TEST_F(AccountsOfABook, NamesAndPasswordsThatDoNotDoAreRefused) {
    const auto refused = [&](const std::string& name, const std::string& password) {
        const auto account = accounts_->add(name, Role::owner, password);
        return account ? std::string() : account.error().what;
    };
    EXPECT_EQ(refused("", "a long password"), "expected a name of 1 to 60 bytes");
    EXPECT_EQ(refused(std::string(61, 'x'), "a long password"), "expected a name of 1 to 60 bytes");
    EXPECT_NE(refused("a\nb", "a long password"), "");
    EXPECT_NE(refused(" a", "a long password"), "");
    EXPECT_EQ(refused("a", "short"), "expected a password of 10 to 1000 bytes");
    EXPECT_EQ(refused("a", std::string(1001, 'x')), "expected a password of 10 to 1000 bytes");
    EXPECT_EQ(refused("a", "a long password"), "");
    EXPECT_EQ(refused("a", "another password"), "there is an account of a already");
    EXPECT_EQ(accounts_->all()->size(), 1u);
}

TEST(Tries, FiveAtOnceThenOneAMinuteEachForItself) {
    std::int64_t now = 0;
    Tries tries([&] { return now; });
    for (int i = 0; i < 5; ++i) {
        EXPECT_TRUE(tries.may_try("Bo"));
        tries.failed("Bo");
    }
    EXPECT_FALSE(tries.may_try("Bo"));
    EXPECT_TRUE(tries.may_try("Ilse"));
    now += 59;
    EXPECT_FALSE(tries.may_try("Bo"));
    now += 1;
    EXPECT_TRUE(tries.may_try("Bo"));
    tries.failed("Bo");
    EXPECT_FALSE(tries.may_try("Bo"));
    tries.succeeded("Bo");
    EXPECT_TRUE(tries.may_try("Bo"));
    for (int i = 0; i < 20'000; ++i) tries.failed(std::to_string(i));  // names without end take no memory without end
    EXPECT_TRUE(tries.may_try("Bo"));
}

TEST(Secrets, AreComparedWholeAndNeverEmpty) {
    EXPECT_TRUE(same_secret("abc", "abc"));
    for (const char* other : {"abd", "ab", "abcd", ""}) EXPECT_FALSE(same_secret("abc", other)) << other;
    EXPECT_FALSE(same_secret("", ""));
    EXPECT_NE(random_token(), random_token());
}

}  // namespace
}  // namespace revwright::server
