#pragma once
// A line on standard error that counts what is done, when the work takes long and somebody looks.

#include <chrono>
#include <cstddef>
#include <string>

#include "command_line.hpp"

namespace stile::tools {

/// Shows "stile-whip: 12 of 540 solved" in one line that is written over, from one second after it was made, unless
/// --quiet is given or standard error is no terminal. The line is wiped at the end.
class Progress {
 public:
  Progress(const Description& description, const Arguments& arguments, std::size_t total);
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  ~Progress();
  /// One more piece of work is done. From one thread at a time.
  void step();

 private:
  std::string name_;
  bool seen_;
  bool written_ = false;
  std::size_t done_ = 0, total_;
  std::chrono::steady_clock::time_point start_, last_;
};

}  // namespace stile::tools
