#include <stile/wire/sweep.hpp>

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>

namespace stile {

std::vector<AntennaSolution> sweep_antenna(const Antenna& antenna, const Ground& ground,
                                           std::span<const double> frequencies_hz, const SolveOptions& options,
                                           unsigned threads, const SweepProgress& progress) {
  const std::size_t total = frequencies_hz.size();
  std::vector<AntennaSolution> solutions(total);
  std::vector<std::exception_ptr> failures(total + 1);  // the last one is of the progress function
  std::atomic<std::size_t> next{0};
  std::atomic<bool> stop{false};
  std::size_t done = 0;
  std::mutex reporting;

  const auto work = [&] {
    for (std::size_t i = next++; i < total && !stop; i = next++) {
      try {
        solutions[i] = solve_antenna(antenna, ground, frequencies_hz[i], options);
      } catch (...) {
        failures[i] = std::current_exception();
      }
      const std::lock_guard<std::mutex> lock(reporting);
      ++done;
      if (!progress || stop) continue;
      try {
        progress(done, total);
      } catch (...) {
        failures[total] = std::current_exception();
        stop = true;
      }
    }
  };
  if (threads == 0) threads = std::max(1U, std::thread::hardware_concurrency());
  std::vector<std::jthread> team;
  for (std::size_t t = 1; t < std::min<std::size_t>(threads, total); ++t) team.emplace_back(work);
  work();
  team.clear();  // joins
  for (const std::exception_ptr& f : failures) {
    if (f) std::rethrow_exception(f);
  }
  return solutions;
}

}  // namespace stile
