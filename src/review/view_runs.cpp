#include "review/view_runs.h"

#include <utility>

#include "review/directions.h"
#include "review/leave_out.h"
#include "review/places.h"
#include "review/pulls.h"
#include "review/speed_limiter.h"

namespace revwright {
namespace {

RunView view_of(const JobSheet& job, const DrivenLog& driven, std::size_t index, std::size_t first_pull) {
    RunView run{.job = &job, .driven = driven, .index = index};
    PullSearch search = find_pulls(*driven.log, job, index, place_of(run));
    for (Pull& pull : search.pulls) pull.index += first_pull;
    run.pulls = std::move(search.pulls);
    run.excluded = std::move(search.excluded);
    leave_out_faults(run);
    for (Pull& pull : run.pulls) pull.limiter_from_s = speed_limiter_from_s({&run, pull});
    run.lag = identify_lambda_lag(run.log(), run.pulls, job.engine);
    name_directions({&run, 1});
    return run;
}

}  // namespace

std::vector<RunView> view_runs(const JobSheet& job, std::span<const DrivenLog> logs) {
    std::vector<RunView> runs;
    std::size_t pulls = 0;
    for (const DrivenLog& driven : logs) {
        runs.push_back(view_of(job, driven, runs.size(), pulls));
        pulls += runs.back().pulls.size();
    }
    return runs;
}

}  // namespace revwright
