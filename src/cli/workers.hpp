// A few threads that carry out tasks, and hand back the results in the order the tasks came in.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <functional>
#include <future>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

namespace trayworth::cli {

template<class Result>
class Workers {
public:
    explicit Workers(std::size_t count) {
        for (std::size_t i = 0; i < count; ++i) {
            threads_.emplace_back([this] { work(); });
        }
    }
    Workers(const Workers&) = delete;
    Workers& operator=(const Workers&) = delete;

    // Tasks that were not begun are dropped.
    ~Workers() {
        {
            const std::lock_guard lock(mutex_);
            stopping_ = true;
            waiting_.clear();
        }
        wake_.notify_all();
        for (std::thread& thread : threads_) {
            thread.join();
        }
    }

    void submit(std::function<Result()> task) {
        std::packaged_task<Result()> packaged(std::move(task));
        results_.push_back(packaged.get_future());
        {
            const std::lock_guard lock(mutex_);
            waiting_.push_back(std::move(packaged));
        }
        wake_.notify_one();
    }

    // Submitted and not yet taken.
    [[nodiscard]] std::size_t outstanding() const { return results_.size(); }

    // Of the oldest task; waits for it, and throws what it threw.
    Result take() {
        std::future<Result> oldest = std::move(results_.front());
        results_.pop_front();
        return oldest.get();
    }

private:
    void work() {
        for (;;) {
            std::packaged_task<Result()> task;
            {
                std::unique_lock lock(mutex_);
                wake_.wait(lock, [this] { return stopping_ || !waiting_.empty(); });
                if (waiting_.empty()) {
                    return;
                }
                task = std::move(waiting_.front());
                waiting_.pop_front();
            }
            task();
        }
    }

    std::mutex mutex_;
    std::condition_variable wake_;
    std::deque<std::packaged_task<Result()>> waiting_;
    std::deque<std::future<Result>> results_; // of the submitting thread alone
    std::vector<std::thread> threads_;
    bool stopping_ = false;
};

} // namespace trayworth::cli
