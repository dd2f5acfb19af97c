#pragma once
// Running gnuplot on a script file. Internal; users see chart.hpp.

#include <string>

namespace stile::plots::detail {

struct GnuplotRun {
  bool found = false;   ///< false: no gnuplot on the PATH
  int exit_status = 0;  ///< 128 + signal when killed
  std::string message;  ///< its first message on standard error, empty when it said nothing
};

/// Runs `gnuplot -d -e "out='...'" script` with LC_ALL=C.UTF-8 and TZ=UTC, standard input and output closed off.
/// @throws Error  the process cannot be started for another reason than a missing gnuplot
GnuplotRun run_gnuplot(const std::string& script_file, const std::string& out_file);

/// The same as a command for a POSIX shell.
std::string shell_command(const std::string& script_file, const std::string& out_file);

}  // namespace stile::plots::detail
