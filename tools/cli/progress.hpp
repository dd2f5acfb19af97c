#pragma once
// What a tool is doing, for somebody who waits.

#include <cstddef>
#include <memory>
#include <string>

#include "cli/command_line.hpp"

namespace stile::tools {

/// One line on standard error that is written over as the work goes on, once it has taken a second, when standard error
/// is a terminal and --quiet is not given; gone at the end.
class Progress {
public:
  Progress(const Description& description, const Arguments& arguments);
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  ~Progress();

  /// What is done from now on: "40 m, lifted (3 of 18)".
  void step(const std::string& what);
  /// The same of one of many equal pieces: "refining lengths: 12 of about 60", and behind it how long the rest of them
  /// takes at the pace since `what` began.
  void step(const std::string& what, std::size_t done, std::size_t planned);

private:
  struct State;
  std::unique_ptr<State> state_;  // none: nobody looks
};

}  // namespace stile::tools
