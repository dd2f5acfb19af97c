#pragma once
// Ctrl-C waits while a file is written.

#include <csignal>

namespace stile::tools {

/// Holds back SIGINT, SIGTERM and SIGHUP as long as it lives: a file is then either whole or not there. Programs started
/// meanwhile hold them back as well.
class HoldSignals {
public:
  HoldSignals() {
    sigset_t held;
    sigemptyset(&held);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) sigaddset(&held, signal);
    pthread_sigmask(SIG_BLOCK, &held, &before_);
  }
  HoldSignals(const HoldSignals&) = delete;
  HoldSignals& operator=(const HoldSignals&) = delete;
  ~HoldSignals() { pthread_sigmask(SIG_SETMASK, &before_, nullptr); }

private:
  sigset_t before_{};
};

}  // namespace stile::tools
