// How much of what was planted in simulated logs the review finds, and whom it accuses wrongly: a table per fault, per
// logger, and the totals against their goals. A plain program, not a benchmark; exit code 1 if a goal is missed.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <atomic>
#include <cstdio>
#include <exception>
#include <fmt/format.h>
#include <functional>
#include <nlohmann/json.hpp>
#include <thread>
#include <vector>

#include "recovery/rig_score.h"
#include "recovery/second_score.h"

namespace {

using namespace revwright;

/// make(0), make(1) ... on all processors; added in order, so that the number of them changes nothing.
Score score_all(int logs, const std::function<ScoreCase(int)>& make) {
    std::vector<ScoreCase> cases(static_cast<std::size_t>(logs));
    std::atomic<int> next = 0;
    std::exception_ptr failed;
    std::atomic_flag failing = ATOMIC_FLAG_INIT;
    const auto work = [&] {
        try {
            for (int nth = next++; nth < logs; nth = next++) cases[static_cast<std::size_t>(nth)] = make(nth);
        } catch (...) {
            if (!failing.test_and_set()) failed = std::current_exception();
            next = logs;
        }
    };
    {
        std::vector<std::jthread> workers;
        for (unsigned i = 0; i < std::max(1U, std::thread::hardware_concurrency()); ++i) workers.emplace_back(work);
    }
    if (failed) std::rethrow_exception(failed);
    Score score;
    for (const ScoreCase& one : cases) add(score, one);
    return score;
}

void print_tallies(const char* title, const std::map<std::string, FaultTally>& tallies) {
    fmt::print("{:<34} {:>8} {:>8} {:>8} {:>13}\n", title, "planted", "found", "missed", "false alarms");
    for (const auto& [name, tally] : tallies)
        fmt::print("{:<34} {:>8} {:>8} {:>8} {:>13}\n", name, tally.planted, tally.found, tally.planted - tally.found,
                   tally.false_alarms);
    fmt::print("\n");
}

void print_clean(const Score& score) {
    fmt::print("{:<34} {:>8} {:>8}   (logs of {})\n", "on clean logs, by check", "accused", "watch", score.clean_logs);
    for (const auto& [check, tally] : score.by_check)
        fmt::print("{:<34} {:>8} {:>8}\n", check, tally.accused, tally.watched);
    fmt::print("\n");
}

struct Total {
    const char* what;
    const char* key;
    double value, goal;
    bool at_least;
    std::string count;
    bool held() const { return at_least ? value >= goal : value <= goal; }
};

std::vector<Total> totals(const Score& score) {
    const auto of = [](int part, int whole) { return fmt::format("{} of {}", part, whole); };
    return {
        {"planted faults found in place, %", "found_pct", score.found_pct(), 99.0, true,
         of(score.found, score.planted)},
        {"clean logs accused, %", "clean_accused_pct", score.clean_accused_pct(), 2.0, false,
         of(score.clean_logs_accused, score.clean_logs)},
        {"pulls found, %", "pulls_found_pct", score.pulls_found_pct(), 98.0, true,
         of(score.pulls_found, score.pulls_driven)},
        {"reported pulls that were pulls, %", "pulls_right_pct", score.pulls_right_pct(), 98.0, true,
         of(score.pulls_right, score.pulls_reported)},
        {"ends of pulls within 0.2 s, %", "bounds_near_pct", score.bounds_near_pct(), 98.0, true,
         of(score.bounds_near, score.bounds)},
        {"planted stretches refused, %", "stretches_refused_pct", score.stretches_refused_pct(), 98.0, true,
         of(score.stretches_refused, score.stretches_planted)},
    };
}

bool print_totals(const Score& score) {
    bool held = true;
    fmt::print("{:<34} {:>14} {:>9} {:>10}  {}\n", fmt::format("{} logs", score.logs), "count", "reached", "goal",
               "held");
    for (const Total& total : totals(score)) {
        fmt::print("{:<34} {:>14} {:>9.2f} {:>10}  {}\n", total.what, total.count, total.value,
                   fmt::format("{} {:g}", total.at_least ? "at least" : "at most", total.goal),
                   total.held() ? "yes" : "NO");
        held = held && total.held();
    }
    for (const auto& [fault, logs] : score.unjudged) fmt::print("no such check yet: {} ({} logs)\n", fault, logs);
    return held;
}

bool report(const char* generator, const Score& score) {
    fmt::print("== {} ==\n\n", generator);
    print_tallies("fault", score.by_fault);
    print_tallies("logger", score.by_logger);
    if (score.by_car.size() > 1) print_tallies("car", score.by_car);
    print_clean(score);
    for (const std::string& miss : score.misses) fmt::print("{}\n", miss);
    if (!score.misses.empty()) fmt::print("\n");
    const bool held = print_totals(score);
    fmt::print("\n");
    return held;
}

bool print_json(const Score& score) {
    nlohmann::ordered_json json;
    bool held = true;
    for (const Total& total : totals(score)) {
        json[total.key] = total.value;
        held = held && total.held();
    }
    for (const std::string& miss : score.misses) fmt::print(stderr, "  {}\n", miss);
    fmt::print("{}\n", json.dump());
    return held;
}

}  // namespace

int main(int argc, char** argv) try {
    int logs = 600;
    std::uint64_t seed = 1;
    std::string generator = "both";
    bool json = false;
    CLI::App app{"Plants faults in simulated logs and says what the review finds, misses and accuses wrongly."};
    app.add_option("--logs", logs, "logs of each generator")->check(CLI::Range(1, 1000000));
    app.add_option("--seed", seed, "of the first log; the others follow");
    app.add_option("--generator", generator, "whose logs")->check(CLI::IsMember({"rig", "second", "both"}));
    app.add_flag("--json", json, "the totals as one JSON object, for one generator");
    CLI11_PARSE(app, argc, argv);
    if (json && generator == "both") {
        fmt::print(stderr, "--json needs --generator rig or --generator second\n");
        return 2;
    }
    const auto seed_of = [&](int nth) { return seed + static_cast<std::uint64_t>(nth); };
    bool held = true;
    const auto run = [&](const char* name, const std::function<ScoreCase(int)>& make) {
        const Score score = score_all(logs, make);
        held = (json ? print_json(score) : report(name, score)) && held;
    };
    if (generator != "second") run("rig", [&](int nth) { return rig_case(nth, seed_of(nth)); });
    if (generator != "rig")
        run("second generator", [&](int nth) { return second_case(second_setup(nth, seed_of(nth))); });
    return held ? 0 : 1;
} catch (const std::exception& error) {
    fmt::print(stderr, "review_score: {}\n", error.what());
    return 4;
}
