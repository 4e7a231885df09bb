#include "app/crew.h"

#include <atomic>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <stdexcept>
#include <string>

#include "formats/csv/exact_text.h"
#include "formats/csv/reader.h"

namespace revwright::app {
namespace {

TEST(Crew, DoesEachTaskOnce) {
    for (const std::size_t count : {0, 1, 2, 5}) {
        Crew crew(count);
        const Workers workers = crew.workers();
        EXPECT_EQ(workers.count, std::max<std::size_t>(count, 1));
        for (std::size_t tasks : {0, 1, 2, 3, 100}) {
            std::vector<int> done(tasks, 0);
            workers.run(tasks, [&](std::size_t i) { ++done[i]; });
            EXPECT_EQ(done, std::vector<int>(tasks, 1)) << count;
        }
    }
}

TEST(Crew, WorksAtTheSameTime) {
    Crew crew(2);
    std::atomic<int> here = 0;
    crew.workers().run(2, [&](std::size_t) {  // ends only if both run at once
        ++here;
        while (here < 2) std::this_thread::yield();
    });
    EXPECT_EQ(here, 2);
}

TEST(Crew, HandsOnWhatATaskThrowsAndStaysUsable) {
    Crew crew(3);
    std::atomic<int> done = 0;
    const auto task = [&](std::size_t i) {
        ++done;
        if (i == 4) throw std::runtime_error("no room");
    };
    EXPECT_THROW(crew.workers().run(20, task), std::runtime_error);
    EXPECT_EQ(done, 20);
    EXPECT_NO_THROW(crew.workers().run(3, [&](std::size_t) { ++done; }));
    EXPECT_EQ(done, 23);
}

TEST(Crew, ReadsALogAsOneWorkerDoes) {
    std::string text = "time_s,a,b,state\n";
    for (int row = 0; row < 40'000; ++row)
        text += fmt::format("{:.2f},{},{},{}\n", row / 100.0, row % 977, row % 5 == 0 ? "" : "1.5",
                            row % 1000 == 7 ? "n/a" : "2");
    const std::string alone = csv::exact_text(csv::read_simply(text, "run.csv"));
    for (const std::size_t count : {2, 3, 4}) {
        Crew crew(count);
        EXPECT_TRUE(csv::exact_text(csv::read(text, "run.csv", crew.workers())) == alone) << count;
        EXPECT_TRUE(csv::exact_text(csv::read_in_pieces(text, "run.csv", 5000, crew.workers())) == alone) << count;
    }
}

TEST(Crew, StartsNoThreadForLittleWork) {
    EXPECT_EQ(Crew::count_for(1000), 1u);
    EXPECT_GE(Crew::count_for(std::size_t{1} << 30), 1u);
}

}  // namespace
}  // namespace revwright::app
