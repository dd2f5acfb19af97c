#include "progress.hpp"

#include <cstdio>

#include <unistd.h>

namespace stile::tools {

Progress::Progress(const Description& description, const Arguments& arguments, std::size_t total)
    : name_(description.name), seen_(!arguments.quiet() && isatty(STDERR_FILENO) != 0), total_(total),
      start_(std::chrono::steady_clock::now()), last_(start_) {}

Progress::~Progress() {
  if (written_) std::fputs("\r\033[K", stderr);
}

void Progress::step() {
  ++done_;
  if (!seen_) return;
  const auto now = std::chrono::steady_clock::now();
  if (now - start_ < std::chrono::seconds(1) || now - last_ < std::chrono::milliseconds(100)) return;
  last_ = now;
  written_ = true;
  std::fprintf(stderr, "\r%s: %zu of %zu solved\033[K", name_.c_str(), done_, total_);
  std::fflush(stderr);
}

}  // namespace stile::tools
