#include "app/crew.h"

#include <algorithm>
#include <utility>

namespace revwright::app {
namespace {

constexpr std::size_t kBytesAtOnce = std::size_t{1} << 20;  // read in about a millisecond: not worth a thread
constexpr std::size_t kMost = 8;                            // beyond, memory is what one waits for

}  // namespace

std::size_t Crew::count_for(std::size_t bytes) {
    if (bytes <= kBytesAtOnce) return 1;
    return std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, kMost);
}

Crew::Crew(std::size_t count) {
    for (std::size_t i = 1; i < count; ++i) threads_.emplace_back([this] { wait_for_work(); });
}

Crew::~Crew() {
    {
        const std::lock_guard lock(mutex_);
        over_ = true;
    }
    work_.notify_all();
    for (std::thread& thread : threads_) thread.join();
}

Workers Crew::workers() {
    if (threads_.empty()) return {};
    return {threads_.size() + 1, [this](std::size_t tasks, const Workers::Task& task) { run(tasks, task); }};
}

void Crew::run(std::size_t tasks, const Workers::Task& task) {
    std::unique_lock lock(mutex_);
    task_ = &task;
    next_ = 0;
    tasks_ = tasks;
    work_.notify_all();
    take_tasks(lock);
    done_.wait(lock, [this] { return running_ == 0; });
    if (thrown_) std::rethrow_exception(std::exchange(thrown_, nullptr));
}

void Crew::wait_for_work() {
    std::unique_lock lock(mutex_);
    while (true) {
        work_.wait(lock, [this] { return over_ || next_ < tasks_; });
        if (over_) return;
        take_tasks(lock);
    }
}

/// Does tasks until none is left. Held while taking one, not while doing it: tasks are far longer than that.
void Crew::take_tasks(std::unique_lock<std::mutex>& lock) {
    while (next_ < tasks_) {
        const std::size_t mine = next_++;
        ++running_;
        lock.unlock();
        std::exception_ptr thrown;
        try {
            (*task_)(mine);
        } catch (...) {
            thrown = std::current_exception();
        }
        lock.lock();
        if (thrown && !thrown_) thrown_ = thrown;
        if (--running_ == 0 && next_ == tasks_) done_.notify_all();
    }
}

}  // namespace revwright::app
