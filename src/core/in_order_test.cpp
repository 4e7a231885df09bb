#include "core/in_order.h"

#include <algorithm>
#include <atomic>
#include <gtest/gtest.h>
#include <stdexcept>
#include <thread>
#include <vector>

namespace revwright {
namespace {

/// Threads of the test's own, as many as tasks.
Workers threads(std::size_t count) {
    return {count, [](std::size_t tasks, const Workers::Task& task) {
                std::vector<std::thread> all;
                std::vector<std::exception_ptr> thrown(tasks);
                for (std::size_t i = 0; i < tasks; ++i)
                    all.emplace_back([&, i] {
                        try {
                            task(i);
                        } catch (...) {
                            thrown[i] = std::current_exception();
                        }
                    });
                for (std::thread& thread : all) thread.join();
                for (const std::exception_ptr& each : thrown)
                    if (each) std::rethrow_exception(each);
            }};
}

TEST(InOrder, TakesEachItemOnceInOrderFromItsOwnSlot) {
    for (const std::size_t workers : {1u, 2u, 5u})
        for (const std::size_t slots : {1u, 2u, 7u}) {
            std::vector<std::size_t> in_slot(slots), taken;
            run_in_order({.items = 200,
                          .slots = slots,
                          .make_ready = [&](std::size_t item, std::size_t slot) { in_slot[slot] = item; },
                          .take =
                              [&](std::size_t item, std::size_t slot) {
                                  EXPECT_EQ(in_slot[slot], item);
                                  taken.push_back(item);
                                  return true;
                              }},
                         workers == 1 ? Workers{} : threads(workers));
            EXPECT_EQ(taken.size(), 200u);
            EXPECT_TRUE(std::ranges::is_sorted(taken));
        }
}

TEST(InOrder, NoMoreWeightIsInTheSlotsThanMayBe) {
    std::atomic<std::uint64_t> held = 0, most = 0;
    const auto weight = [](std::size_t item) { return item == 50 ? std::uint64_t{1000} : item % 7; };
    run_in_order({.items = 100,
                  .slots = 16,
                  .weight = weight,
                  .most_weight = 20,
                  .make_ready =
                      [&](std::size_t item, std::size_t) {
                          const std::uint64_t now = held += weight(item);
                          if (item != 50) most = std::max<std::uint64_t>(most, now);
                      },
                  .take =
                      [&](std::size_t item, std::size_t) {
                          held -= weight(item);
                          return true;
                      }},
                 threads(3));
    EXPECT_LE(most, 20u);  // the heavy one goes alone
    EXPECT_EQ(held, 0u);
}

TEST(InOrder, EndsWhenThereIsEnough) {
    for (const std::size_t workers : {1u, 3u}) {
        std::size_t last = 0;
        run_in_order({.items = 1000,
                      .slots = 4,
                      .make_ready = [](std::size_t, std::size_t) {},
                      .take =
                          [&](std::size_t item, std::size_t) {
                              last = item;
                              return item < 10;
                          }},
                     workers == 1 ? Workers{} : threads(workers));
        EXPECT_EQ(last, 10u);
    }
}

TEST(InOrder, WhatAStepThrowsComesOutAndNobodyWaitsForIt) {
    for (const bool in_take : {false, true}) {
        const auto may_throw = [](bool now, std::size_t item) {
            if (now && item == 5) throw std::runtime_error("no memory");
        };
        EXPECT_THROW(run_in_order({.items = 100,
                                   .slots = 3,
                                   .make_ready = [&](std::size_t item, std::size_t) { may_throw(!in_take, item); },
                                   .take =
                                       [&](std::size_t item, std::size_t) {
                                           may_throw(in_take, item);
                                           return true;
                                       }},
                                  threads(3)),
                     std::runtime_error);
    }
}

TEST(InOrder, OfNothingThereIsNothingToDo) {
    run_in_order(
        {.make_ready = [](std::size_t, std::size_t) { FAIL(); }, .take = [](std::size_t, std::size_t) { return true; }},
        threads(2));
}

}  // namespace
}  // namespace revwright
