#pragma once
// Running gnuplot on a script file. Internal; users see chart.hpp.

#include <functional>
#include <string>
#include <vector>

namespace stile::plots::detail {

struct GnuplotRun {
  bool found = false;    ///< false: no gnuplot on the PATH
  bool stopped = false;  ///< it was killed because stop() was true
  int exit_status = 0;   ///< 128 + signal when killed
  std::string message;   ///< its first message on standard error, empty when it said nothing
};

/// A script and the file that it is to draw.
struct Drawing {
  std::string script_file, out_file;
};

/// Runs `gnuplot -d -e "out='...'" script`, for several drawings one after the other in one process that forgets
/// between them (`reset session`), with LC_ALL=C.UTF-8 and TZ=UTC, standard input and output closed off, in a process
/// group of its own with no signal held back.
///
/// @param stop  asked every 20 ms while gnuplot runs; true kills it and all that it started. Empty: it is waited for
/// @throws Error  the process cannot be started for another reason than a missing gnuplot
GnuplotRun run_gnuplot(const std::vector<Drawing>& drawings, const std::function<bool()>& stop = {});

}  // namespace stile::plots::detail
