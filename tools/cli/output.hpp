#pragma once
// Where results go: one staging place for every file of a run.

#include <functional>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "cli/signals.hpp"

namespace stile::tools {

/// A result cannot be written: what() names the file and the reason. Exit status 2.
struct OutputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// A text that is made while it is written: each call gives the next piece, an empty one is the end.
using Pieces = std::function<std::string()>;

/// One piece.
Pieces whole_text(std::string text);

/// A text that no terminal takes for an order: what is not UTF-8, and every control character but line feed and tab, as
/// "\x1b". Names of files may hold either. Of UTF-8 itself nothing changes.
std::string printable(std::string_view text);

/// All results of a run, texts, pictures and sheets alike: either all of them are there in the end, or everything is as
/// it was before.
///
/// A file is written under a temporary name in its own folder and renamed by commit(), so that nobody ever sees half of
/// it and a failure leaves what was there. A file that may not be written to (no w in its mode, root's run included) is
/// not replaced. What is not a regular file (a pipe, a device, standard output) gets its text by commit(), before any
/// file has its name. A symbolic link is followed. While a file has its temporary name, Ctrl-C (SIGINT, SIGTERM,
/// SIGHUP) waits for the next call: that removes everything and ends the program by the signal. So no call waits for
/// others without looking; long work comes before the first one.
///
/// Putting back what was there takes a file system that can exchange two names (ext4, xfs, btrfs, tmpfs can). On
/// another one each file by itself is still old or new and never half, and a failure before the first rename leaves
/// everything as it was; when a later rename of the same commit() fails, files that existed and were renamed before it
/// stay new.
class Outputs {
public:
  /// @param exchange  false: behave as on a file system that cannot exchange names
  explicit Outputs(bool exchange = true) : exchange_(exchange) {}
  Outputs(const Outputs&) = delete;
  Outputs& operator=(const Outputs&) = delete;
  /// Without commit(): removes what was written.
  ~Outputs();

  /// A file that the run reads: add() refuses to replace it, under whatever name.
  void spare(const std::string& path) { spared_.push_back(path); }

  /// @param path  a file, or "-" for standard output
  /// @throws OutputError  cannot be opened or written, a folder, the disk is full, the run reads it or has written it
  /// already
  void add(const std::string& path, std::string text);
  /// The same for a text too long to hold. What the pieces refer to must live until commit() is done.
  void add(const std::string& path, Pieces pieces);
  /// A folder for further files; it and those above it are made where missing, and removed again on a failure.
  /// @throws OutputError  cannot be made
  void add_folder(const std::string& path);
  /// @throws OutputError  as add(). A standard output that nobody reads any more ends the program by SIGPIPE, with
  ///                      nothing left behind.
  void commit();

  /// From now on signals wait. For work that leaves something behind when it is cut off and asks stop_asked()
  /// meanwhile.
  void hold();
  /// A signal waits: the next call of add() or commit() will not come back.
  bool stop_asked() const { return held_ && held_->waits(); }

private:
  struct Staged {
    std::string path, part, target;
    enum { waiting, made, exchanged, replaced } state = waiting;
  };
  struct Waiting {
    std::string path;
    Pieces pieces;
  };
  void heed();
  void discard();
  int write_patiently(int file, const Pieces& pieces);
  int write_directly(const std::string& path, const Pieces& pieces);
  bool exchange_;
  std::vector<Staged> staged_;
  std::vector<Waiting> waiting_;
  std::vector<std::string> spared_;
  std::vector<std::string> folders_;  // made, outermost first
  std::optional<HoldSignals> held_;   // while something is staged
};

/// One result: Outputs with one add() and commit().
/// @throws OutputError  nothing is left behind
void write_output(const std::string& path, std::string_view text);

/// Refuses two outputs of one name, and one that names an input, links and ./ resolved, before anything is computed.
/// @param files   each with the option that names it; "-" is standard output. A file to which standard output goes
///                counts as that.
/// @param inputs  files that are read, each with its option; "-" is standard input and no file
/// @throws UsageError
void check_distinct(const std::vector<std::pair<std::string, std::string>>& files,
                    const std::vector<std::pair<std::string, std::string>>& inputs);

}  // namespace stile::tools
