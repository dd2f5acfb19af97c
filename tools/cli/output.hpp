#pragma once
// Where results go.

#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "cli/signals.hpp"

namespace stile::tools {

/// A result cannot be written: what() names the file and the reason. Exit status 2.
struct OutputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Results that belong together: either all of them are there in the end, or none is left behind.
///
/// A file is written under a temporary name in its own folder and renamed by commit(), so that nobody ever sees half of
/// it and a failure leaves what was there. What is not a regular file (a pipe, a device, standard output) gets its text
/// by commit(), before any file has its name. A symbolic link is followed. Ctrl-C waits while a file has its temporary
/// name.
class Outputs {
public:
  Outputs() = default;
  Outputs(const Outputs&) = delete;
  Outputs& operator=(const Outputs&) = delete;
  /// Without commit(): removes what was written.
  ~Outputs();

  /// @param path  a file, or "-" for standard output
  /// @throws OutputError  cannot be opened or written, a folder, the disk is full
  void add(const std::string& path, std::string text);
  /// Files that somebody else writes before commit(), charts say: those not there yet are removed again on a failure.
  void guard(const std::vector<std::string>& files);
  /// @throws OutputError  as add(). A standard output that nobody reads any more ends the program by SIGPIPE, with
  ///                      nothing left behind.
  void commit();

private:
  struct Staged {
    std::string path, part, target;
  };
  struct Waiting {
    std::string path, text;
  };
  void discard();
  std::vector<Staged> staged_;
  std::vector<Waiting> waiting_;
  std::vector<std::string> made_;    // files that were not there before
  std::optional<HoldSignals> held_;  // while something is staged
};

/// One result: Outputs with one add() and commit().
/// @throws OutputError  nothing is left behind
void write_output(const std::string& path, std::string_view text);

}  // namespace stile::tools
