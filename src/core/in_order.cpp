#include "core/in_order.h"

#include <condition_variable>
#include <mutex>
#include <vector>

namespace revwright {
namespace {

class Progress {
public:
    explicit Progress(const InOrder& work) : work_(work), ready_(work.slots, false) {}

    /// What one worker does until all is taken.
    void help() {
        std::unique_lock lock(mutex_);
        try {
            while (!stopped_ && taken_ < work_.items) {
                if (!taking_ && taken_ < begun_ && ready_[taken_ % work_.slots])
                    take(lock);
                else if (may_begin())
                    make_ready(lock);
                else
                    changed_.wait(lock);
            }
        } catch (...) {  // the others must not wait for this one
            if (!lock.owns_lock()) lock.lock();
            stopped_ = true;
            changed_.notify_all();
            throw;
        }
    }

private:
    bool may_begin() const {
        if (begun_ == work_.items || begun_ - taken_ == work_.slots) return false;
        const std::uint64_t more = work_.weight(begun_);
        return begun_ == taken_ || (more <= work_.most_weight && weight_ <= work_.most_weight - more);
    }

    void make_ready(std::unique_lock<std::mutex>& lock) {
        const std::size_t item = begun_++;
        weight_ += work_.weight(item);
        lock.unlock();
        work_.make_ready(item, item % work_.slots);
        lock.lock();
        ready_[item % work_.slots] = true;
        changed_.notify_all();
    }

    void take(std::unique_lock<std::mutex>& lock) {
        const std::size_t item = taken_;
        taking_ = true;
        lock.unlock();
        const bool more = work_.take(item, item % work_.slots);
        lock.lock();
        taking_ = false;
        ready_[item % work_.slots] = false;
        weight_ -= work_.weight(item);
        ++taken_;
        stopped_ = stopped_ || !more;
        changed_.notify_all();
    }

    const InOrder& work_;
    std::mutex mutex_;
    std::condition_variable changed_;
    std::vector<bool> ready_;            // by slot
    std::size_t begun_ = 0, taken_ = 0;  // items
    std::uint64_t weight_ = 0;           // of those in the slots
    bool taking_ = false, stopped_ = false;
};

}  // namespace

void run_in_order(const InOrder& work, const Workers& workers) {
    Progress progress(work);
    workers.run(workers.count, [&](std::size_t) { progress.help(); });
}

}  // namespace revwright
