#pragma once
// Ctrl-C waits while files have temporary names.

#include <csignal>
#include <ctime>

namespace stile::tools {

/// Holds back SIGINT, SIGTERM and SIGHUP as long as it lives, those that would end the program. Threads started
/// meanwhile hold them back as well.
class HoldSignals {
public:
  HoldSignals() {
    sigemptyset(&held_);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
      struct sigaction action {};
      sigaction(signal, nullptr, &action);
      if (action.sa_handler != SIG_IGN) sigaddset(&held_, signal);  // nohup; one that is held would be pending
    }
    pthread_sigmask(SIG_BLOCK, &held_, &before_);
  }
  HoldSignals(const HoldSignals&) = delete;
  HoldSignals& operator=(const HoldSignals&) = delete;
  /// A signal that came meanwhile takes effect here.
  ~HoldSignals() { pthread_sigmask(SIG_SETMASK, &before_, nullptr); }

  /// One has come.
  bool waits() const {
    sigset_t pending;
    sigemptyset(&pending);
    sigpending(&pending);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
      if (sigismember(&held_, signal) == 1 && sigismember(&pending, signal) == 1) return true;
    }
    return false;
  }

  /// Those that wait do nothing any more: for work that has heeded them.
  void forget() const {
    const timespec at_once{};
    while (sigtimedwait(&held_, nullptr, &at_once) > 0) {
    }
  }

private:
  sigset_t held_{}, before_{};
};

}  // namespace stile::tools
