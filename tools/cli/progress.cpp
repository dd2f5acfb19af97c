#include "cli/progress.hpp"

#include <chrono>
#include <condition_variable>
#include <cstdio>
#include <mutex>
#include <thread>

#include <unistd.h>

#include "cli/signals.hpp"

namespace stile::tools {

/// The writer runs beside the work, which may spend long in one call of the library.
struct Progress::State {
  std::string name;
  std::mutex mutex;
  std::condition_variable changed;
  std::string what;
  bool ended = false;
  std::thread writer;

  void write() {
    const auto start = std::chrono::steady_clock::now();
    bool shown = false;
    std::unique_lock lock(mutex);
    while (!changed.wait_for(lock, std::chrono::seconds(1), [this] { return ended; })) {
      const auto seconds =
          std::chrono::duration_cast<std::chrono::seconds>(std::chrono::steady_clock::now() - start).count();
      std::fprintf(stderr, "\r%s: %s, %lld s\033[K", name.c_str(), what.c_str(), static_cast<long long>(seconds));
      std::fflush(stderr);
      shown = true;
    }
    if (shown) std::fputs("\r\033[K", stderr);
  }
};

Progress::Progress(const Description& description, const Arguments& arguments) {
  if (arguments.quiet() || isatty(STDERR_FILENO) == 0) return;
  state_ = std::make_unique<State>();
  state_->name = description.name;
  state_->what = "at work";
  const HoldSignals held;  // the writer is born with them held: they are the main thread's
  state_->writer = std::thread([state = state_.get()] { state->write(); });
}

Progress::~Progress() {
  if (!state_) return;
  {
    const std::lock_guard lock(state_->mutex);
    state_->ended = true;
  }
  state_->changed.notify_all();
  state_->writer.join();
}

void Progress::step(const std::string& what) {
  if (!state_) return;
  const std::lock_guard lock(state_->mutex);
  state_->what = what;
}

}  // namespace stile::tools
