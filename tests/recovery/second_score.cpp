#include "recovery/second_score.h"

#include "recovery/through_csv.h"
#include "review/review.h"

namespace revwright {

second::SecondSetup second_setup(int nth, std::uint64_t seed) {
    using namespace second;
    SecondSetup setup{.car = static_cast<CarKind>(nth % kCarKinds),
                      .recorder = static_cast<Recorder>((nth / kCarKinds + nth / 5) % kRecorders),
                      .seed = seed};
    if (nth % 5 == 4) return setup;
    const auto rows = all_rows();
    auto which = static_cast<std::size_t>(nth - nth / 5);
    const TraceCar car = trace_car(setup.car, seed);
    while (rows[which % rows.size()].fits && !rows[which % rows.size()].fits(car)) ++which;
    setup.fault = &rows[which % rows.size()];
    return setup;
}

ScoreCase second_case(const second::SecondSetup& setup) {
    second::SecondLog made = second::second_log(setup);
    const Log log = read_named(made.csv, made.log.file);
    const DrivenLog driven{.log = &log, .run = &made.run};
    ScoreCase one = std::move(made.truth);
    one.review = review(made.job, {&driven, 1});
    return one;
}

Score score_second(int logs, std::uint64_t first_seed) {
    Score score;
    for (int nth = 0; nth < logs; ++nth)
        add(score, second_case(second_setup(nth, first_seed + static_cast<std::uint64_t>(nth))));
    return score;
}

}  // namespace revwright
