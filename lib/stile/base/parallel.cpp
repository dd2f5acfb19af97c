#include <stile/base/parallel.hpp>

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

#include <stile/base/errors.hpp>

namespace stile {

void in_blocks(std::size_t count, std::size_t block, unsigned threads,
               const std::function<void(std::size_t first, std::size_t last)>& work) {
  require(block > 0, "a block of work must have something in it");
  std::atomic<std::size_t> next{0};
  std::mutex failing;
  std::exception_ptr failure;
  const auto run = [&] {
    try {
      for (std::size_t first; (first = next.fetch_add(block)) < count;) work(first, std::min(count, first + block));
    } catch (...) {
      next = count;  // the others stop after their block
      const std::lock_guard lock(failing);
      failure = std::current_exception();
    }
  };
  if (threads == 0) threads = std::max(1U, std::thread::hardware_concurrency());
  {
    struct Others {
      std::vector<std::thread> threads;
      ~Others() {
        for (std::thread& thread : threads) thread.join();
      }
    } others;
    const std::size_t blocks = (count + block - 1) / block;
    for (std::size_t n = 1; n < std::min<std::size_t>(threads, blocks); ++n) others.threads.emplace_back(run);
    run();
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace stile
