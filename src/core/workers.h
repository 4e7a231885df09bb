#pragma once

#include <cstddef>
#include <functional>

namespace revwright {

/// Who does the work that can be shared out. The layers below `app` start no threads: they are handed one of these, and
/// what they return does not depend on it.
struct Workers {
    using Task = std::function<void(std::size_t)>;

    /// How many tasks may run at the same time.
    std::size_t count = 1;

    /// Calls task(0) to task(tasks - 1), each once, in any order, and returns when all of them have.
    std::function<void(std::size_t tasks, const Task& task)> run = [](std::size_t tasks, const Task& task) {
        for (std::size_t i = 0; i < tasks; ++i) task(i);
    };
};

}  // namespace revwright
