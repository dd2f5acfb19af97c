#include <catch2/catch.hpp>

#include <atomic>
#include <chrono>
#include <stdexcept>
#include <thread>
#include <vector>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>

using namespace stile;

TEST_CASE("every place of a count is worked once, whatever block and threads") {
  for (const std::size_t count : {0U, 1U, 7U, 64U, 1000U}) {
    for (const std::size_t block : {1U, 3U, 64U, 5000U}) {
      for (const unsigned threads : {0U, 1U, 2U, 5U}) {
        std::vector<int> worked(count, 0);
        std::atomic<bool> in_range{true};
        in_blocks(count, block, threads, [&](std::size_t first, std::size_t last) {
          if (first >= last || last > count || last - first > block) in_range = false;
          for (std::size_t n = first; n < last; ++n) ++worked[n];
        });
        INFO(count << " in blocks of " << block << " on " << threads);
        CHECK(in_range);
        CHECK(worked == std::vector<int>(count, 1));
      }
    }
  }
}

TEST_CASE("what work throws arrives when every thread has ended, and one thread begins no block after it") {
  for (const unsigned threads : {1U, 4U}) {
    std::atomic<int> running{0}, begun{0};
    const auto work = [&](std::size_t first, std::size_t) {
      ++begun;
      ++running;
      if (first == 10) {
        --running;
        throw std::runtime_error("block 10");
      }
      --running;
    };
    CHECK_THROWS_WITH(in_blocks(100000, 1, threads, work), "block 10");
    CHECK(running == 0);
    if (threads == 1) CHECK(begun == 11);  // with more, the others may be through before it is caught
  }
  CHECK_THROWS_AS(in_blocks(10, 0, 1, [](std::size_t, std::size_t) {}), DomainError);
}

TEST_CASE("a thread beside the one that failed ends after its block") {
  std::atomic<bool> thrown{false};
  std::atomic<int> begun{0};
  const auto work = [&](std::size_t first, std::size_t) {
    ++begun;
    if (first == 0) {
      thrown = true;
      throw std::runtime_error("the first");
    }
    while (!thrown) std::this_thread::yield();
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  };
  CHECK_THROWS_WITH(in_blocks(400, 1, 2, work), "the first");
  CHECK(begun < 200);  // all 400 take 0.4 s where nobody is told
}
