#pragma once
// What a tool is doing, for somebody who waits.

#include <memory>
#include <string>

#include "cli/command_line.hpp"

namespace stile::tools {

/// One line on standard error that is written over as the work goes on, once it has taken a second, when standard error is
/// a terminal and --quiet is not given; gone at the end.
class Progress {
public:
  Progress(const Description& description, const Arguments& arguments);
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  ~Progress();

  /// What is done from now on: "40 m, lifted (3 of 18)".
  void step(const std::string& what);

private:
  struct State;
  std::unique_ptr<State> state_;  // none: nobody looks
};

}  // namespace stile::tools
