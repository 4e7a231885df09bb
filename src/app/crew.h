#pragma once

#include <condition_variable>
#include <cstddef>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

#include "core/workers.h"

namespace revwright::app {

/// Threads that wait for work to be shared out among them and the caller.
class Crew {
public:
    /// count: with the caller; one or none starts no thread.
    explicit Crew(std::size_t count);
    ~Crew();
    Crew(const Crew&) = delete;
    Crew& operator=(const Crew&) = delete;

    /// To be used by one caller at a time, and no longer than the crew. What a task throws comes out of `run` once all
    /// have ended.
    Workers workers();

    /// For work on so many bytes: as many as there are processors, but no thread for what one has done at once.
    static std::size_t count_for(std::size_t bytes);

private:
    void run(std::size_t tasks, const Workers::Task& task);
    void wait_for_work();
    void take_tasks(std::unique_lock<std::mutex>& lock);

    std::mutex mutex_;
    std::condition_variable work_, done_;
    const Workers::Task* task_ = nullptr;
    std::size_t next_ = 0, tasks_ = 0;
    std::size_t running_ = 0;  // tasks that are being done
    std::exception_ptr thrown_;
    bool over_ = false;
    std::vector<std::thread> threads_;
};

}  // namespace revwright::app
