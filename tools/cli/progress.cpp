#include "cli/progress.hpp"

#include <chrono>
#include <condition_variable>
#include <cstdio>
#include <mutex>
#include <thread>

#include <fmt/core.h>
#include <unistd.h>

#include "cli/signals.hpp"

namespace stile::tools {

/// The writer runs beside the work, which may spend long in one call of the library.
struct Progress::State {
  std::string name;
  std::mutex mutex;
  std::condition_variable changed;
  std::string what;
  std::string piece;  // of pieces: their name, when they began, how many were done then and are now
  std::chrono::steady_clock::time_point began;
  std::size_t done_before = 0, done = 0, planned = 0;
  bool ended = false;
  std::thread writer;

  /// ", about 40 s left of this"; empty while there is nothing to tell it from.
  std::string left() const {
    if (piece.empty() || done <= done_before || planned <= done) return "";
    const double so_far_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    const double left_s = so_far_s * static_cast<double>(planned - done) / static_cast<double>(done - done_before);
    return fmt::format(", about {:.0f} s left of this", left_s);
  }

  void write() {
    const auto start = std::chrono::steady_clock::now();
    bool shown = false;
    std::unique_lock lock(mutex);
    while (!changed.wait_for(lock, std::chrono::seconds(1), [this] { return ended; })) {
      const auto seconds =
          std::chrono::duration_cast<std::chrono::seconds>(std::chrono::steady_clock::now() - start).count();
      std::fprintf(stderr, "\r%s: %s, %lld s%s\033[K", name.c_str(), what.c_str(), static_cast<long long>(seconds),
                   left().c_str());
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
  state_->piece.clear();
}

void Progress::step(const std::string& what, std::size_t done, std::size_t planned) {
  if (!state_) return;
  const std::lock_guard lock(state_->mutex);
  if (state_->piece != what) {
    state_->piece = what;
    state_->began = std::chrono::steady_clock::now();
    state_->done_before = done;
  }
  state_->done = done;
  state_->planned = planned;
  state_->what = fmt::format("{}: {} of about {}", what, done, planned);
}

}  // namespace stile::tools
