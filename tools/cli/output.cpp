#include "cli/output.hpp"

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <filesystem>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/core.h>

#include "cli/command_line.hpp"

namespace stile::tools {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const std::string& path, int error) {
  const std::string name = path == "-" ? "standard output" : path;
  throw OutputError(name + ": cannot be written: " + std::generic_category().message(error) +
                    "; legal: a file in a folder that may be written to, or - for standard output");
}

constexpr fs::perms anybody_writes = fs::perms::owner_write | fs::perms::group_write | fs::perms::others_write;

/// Writes a new file with the permissions of the one that it is to replace.
int write_part(const std::string& part, const std::string& target, const Pieces& pieces) {
  const int file = ::open(part.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (file < 0) return errno;
  struct stat old {};
  if (::stat(target.c_str(), &old) == 0) (void)::fchmod(file, old.st_mode & 07777U);
  int error = 0;
  for (std::string piece = pieces(); error == 0 && !piece.empty(); piece = pieces()) {
    std::string_view text = piece;
    while (!text.empty() && error == 0) {
      const ssize_t count = ::write(file, text.data(), text.size());
      if (count < 0 && errno != EINTR) error = errno;
      if (count > 0) text.remove_prefix(static_cast<std::size_t>(count));
    }
  }
  if (::close(file) != 0 && error == 0) error = errno;
  return error;
}

/// For a while, in the folder of the file; also of the longest legal name.
std::string part_name(const fs::path& target, std::size_t index) {
  constexpr std::size_t most = 200;
  const std::string name = target.filename().string().substr(0, most);
  return (target.parent_path() / (name + ".part" + std::to_string(::getpid()) + "-" + std::to_string(index))).string();
}

/// Bytes of the UTF-8 character at the front of a text, 0 where there is none.
std::size_t character_bytes(std::string_view text) {
  const auto byte = [&](std::size_t n) { return static_cast<unsigned char>(n < text.size() ? text[n] : '\0'); };
  const unsigned lead = byte(0);
  const std::size_t count = lead < 0x80U   ? 1
                            : lead < 0xC2U ? 0
                            : lead < 0xE0U ? 2
                            : lead < 0xF0U ? 3
                            : lead < 0xF5U ? 4
                                           : 0;
  for (std::size_t n = 1; n < count; ++n) {
    if ((byte(n) & 0xC0U) != 0x80U) return 0;
  }
  const bool overlong = (lead == 0xE0U && byte(1) < 0xA0U) || (lead == 0xF0U && byte(1) < 0x90U);
  const bool beyond = (lead == 0xEDU && byte(1) > 0x9FU) || (lead == 0xF4U && byte(1) > 0x8FU);
  return overlong || beyond ? 0 : count;
}

/// Where a name leads in the end, also one that is not there yet.
fs::path resolved(fs::path path) {
  std::error_code ignored;
  for (int link = 0; link < 40 && fs::is_symlink(fs::symlink_status(path, ignored)); ++link) {
    const fs::path to = fs::read_symlink(path, ignored);
    path = to.is_absolute() ? to : path.parent_path() / to;
  }
  const fs::path whole = fs::weakly_canonical(fs::absolute(path, ignored), ignored);
  return whole.empty() ? path : whole;
}

/// Standard output goes into this file.
bool is_standard_output(const fs::path& path) {
  struct stat out {
  }, file{};
  return ::fstat(STDOUT_FILENO, &out) == 0 && ::stat(path.c_str(), &file) == 0 && S_ISREG(out.st_mode) &&
         out.st_dev == file.st_dev && out.st_ino == file.st_ino;
}

/// While it lives, a pipe that nobody reads is an error and not the end of the program.
struct NoBrokenPipe {
  void (*before)(int) = std::signal(SIGPIPE, SIG_IGN);
  NoBrokenPipe() = default;
  NoBrokenPipe(const NoBrokenPipe&) = delete;
  NoBrokenPipe& operator=(const NoBrokenPipe&) = delete;
  ~NoBrokenPipe() { std::signal(SIGPIPE, before); }
};

}  // namespace

Outputs::~Outputs() { discard(); }

void Outputs::hold() {
  if (!held_) held_.emplace();
}

/// Ends the program by the signal that waits, if one does.
void Outputs::heed() {
  if (!stop_asked()) return;
  discard();
  throw OutputError("stopped by a signal");  // only where somebody catches it
}

/// What was written goes, what was there before is there again.
void Outputs::discard() {
  for (const Staged& s : staged_) {
    if (s.state == Staged::exchanged) (void)std::rename(s.part.c_str(), s.target.c_str());
    if (s.state == Staged::made) ::unlink(s.target.c_str());
    if (s.state == Staged::waiting) ::unlink(s.part.c_str());
  }
  for (auto folder = folders_.rbegin(); folder != folders_.rend(); ++folder) ::rmdir(folder->c_str());
  staged_.clear();
  waiting_.clear();
  folders_.clear();
  held_.reset();
}

std::string printable(std::string_view text) {
  std::string clean;
  clean.reserve(text.size());
  while (!text.empty()) {
    const std::size_t count = character_bytes(text);
    const auto lead = static_cast<unsigned char>(text.front());
    const bool ascii_control = (lead < 0x20 && lead != '\n' && lead != '\t') || lead == 0x7F;
    const bool further_control = lead == 0xC2 && count == 2 && static_cast<unsigned char>(text[1]) < 0xA0;
    if (count == 0 || ascii_control || further_control) {
      for (const char c : text.substr(0, std::max<std::size_t>(count, 1)))
        clean += fmt::format("\\x{:02x}", static_cast<unsigned char>(c));
    } else {
      clean += text.substr(0, count);
    }
    text.remove_prefix(std::max<std::size_t>(count, 1));
  }
  return clean;
}

Pieces whole_text(std::string text) {
  return [text = std::move(text)]() mutable { return std::exchange(text, {}); };
}

void Outputs::add(const std::string& path, std::string text) { add(path, whole_text(std::move(text))); }

void Outputs::add(const std::string& path, Pieces pieces) {
  heed();
  if (path == "-") {
    waiting_.push_back({path, std::move(pieces)});
    return;
  }
  std::error_code error;
  const fs::file_status status = fs::status(path, error);
  if (status.type() == fs::file_type::none) fail(path, error.value());  // links in a circle, a name too long
  if (fs::is_directory(status)) fail(path, EISDIR);
  if (fs::exists(status) && !fs::is_regular_file(status)) {
    waiting_.push_back({path, std::move(pieces)});
    return;
  }
  if (fs::exists(status) &&
      ((status.permissions() & anybody_writes) == fs::perms::none || ::access(path.c_str(), W_OK) != 0))
    fail(path, EACCES);
  const auto read = [&](const std::string& input) {
    std::error_code ignored;
    return fs::equivalent(path, input, ignored);
  };
  if (fs::exists(status) && std::any_of(spared_.begin(), spared_.end(), read))
    throw OutputError(path + ": is read and would be replaced; legal: another file");
  const std::string target = path.empty() ? path : resolved(path).string();
  if (std::any_of(staged_.begin(), staged_.end(), [&](const Staged& s) { return s.target == target; }))
    throw OutputError(path + ": two results would be written to it; legal: a name of its own for each");
  Staged next{path, part_name(target, staged_.size()), target};
  hold();
  staged_.push_back(next);
  const Pieces watched = [&] {
    heed();
    return pieces();
  };
  if (const int fault = write_part(next.part, next.target, watched)) fail(path, fault);
}

void Outputs::add_folder(const std::string& path) {
  heed();
  hold();
  if (path.empty()) throw OutputError("a folder without a name cannot be made");
  fs::path folder;
  for (const fs::path& name : fs::path(path)) {
    folder /= name;
    std::error_code error;
    if (fs::create_directory(folder, error)) folders_.push_back(folder.string());
    if (error) throw OutputError(path + ": cannot be made: " + error.message());
  }
}

/// All of the text, or the error's number: to what takes it as it can, a pipe say, with an eye on signals.
int Outputs::write_patiently(int file, const Pieces& pieces) {
  constexpr int look_ms = 20;
  constexpr std::size_t piece = 4096;  // a pipe that is ready takes as much without waiting
  const bool terminal = ::isatty(file) != 0;
  for (std::string made = pieces(); !made.empty(); made = pieces()) {
    if (terminal) made = printable(made);
    std::string_view text = made;
    while (!text.empty()) {
      heed();
      pollfd ready{file, POLLOUT, 0};
      if (::poll(&ready, 1, look_ms) == 0) continue;
      const ssize_t count = ::write(file, text.data(), std::min(text.size(), piece));
      if (count < 0 && errno != EINTR && errno != EAGAIN) return errno;
      if (count > 0) text.remove_prefix(static_cast<std::size_t>(count));
    }
  }
  return 0;
}

/// Writes to a pipe or a device, once somebody reads it.
int Outputs::write_directly(const std::string& path, const Pieces& pieces) {
  int file = -1;
  while ((file = ::open(path.c_str(), O_WRONLY | O_CLOEXEC | O_NONBLOCK)) < 0) {
    if (errno != ENXIO && errno != EINTR) return errno;
    heed();
    ::usleep(20000);
  }
  int error = write_patiently(file, pieces);
  if (::close(file) != 0 && error == 0) error = errno;
  return error;
}

void Outputs::commit() {
  for (const Waiting& w : std::exchange(waiting_, {})) {
    int error = 0;
    {
      const NoBrokenPipe scope;
      error = w.path == "-" ? write_patiently(STDOUT_FILENO, w.pieces) : write_directly(w.path, w.pieces);
    }
    if (error == 0) continue;
    discard();
    if (error == EPIPE) (void)std::raise(SIGPIPE);  // comes back only where that signal is ignored or caught
    fail(w.path, error);
  }
  heed();
  for (Staged& s : staged_) {
    struct stat old {};
    const bool there = ::lstat(s.target.c_str(), &old) == 0;
    if (there && S_ISDIR(old.st_mode)) fail(s.path, EISDIR);
    if (there && exchange_ && ::renameat2(AT_FDCWD, s.part.c_str(), AT_FDCWD, s.target.c_str(), RENAME_EXCHANGE) == 0) {
      s.state = Staged::exchanged;
    } else if (std::rename(s.part.c_str(), s.target.c_str()) == 0) {
      s.state = there ? Staged::replaced : Staged::made;
    } else {
      fail(s.path, errno);
    }
  }
  for (const Staged& s : staged_) {
    if (s.state == Staged::exchanged) ::unlink(s.part.c_str());
  }
  staged_.clear();
  folders_.clear();
  held_.reset();
}

void write_output(const std::string& path, std::string_view text) {
  Outputs outputs;
  outputs.add(path, std::string(text));
  outputs.commit();
}

void check_distinct(const std::vector<std::pair<std::string, std::string>>& files,
                    const std::vector<std::pair<std::string, std::string>>& inputs) {
  std::vector<std::string> names;
  for (const auto& [option, path] : files) {
    std::string name = path == "-" || path.empty() ? path : resolved(path).string();
    const auto same = std::find(names.begin(), names.end(), name);
    if (same != names.end()) {
      const std::string& other = files[static_cast<std::size_t>(same - names.begin())].first;
      throw UsageError(other == option ? option + " names the file \"" + path + "\" twice; legal: different ones"
                                       : other + " and " + option + " name the same file; legal: two different ones");
    }
    if (path != "-" && is_standard_output(name))
      throw UsageError(option + " names the file to which standard output goes; legal: two different ones");
    for (const auto& [input_option, input] : inputs) {
      std::error_code ignored;
      if (path == "-" || input == "-" || !fs::is_regular_file(name, ignored) || !fs::equivalent(name, input, ignored))
        continue;
      throw UsageError(option + " would replace \"" + input + "\", which " +
                       (input_option.front() == '-' ? input_option + " reads" : "is read") + "; legal: another file");
    }
    names.push_back(std::move(name));
  }
}

}  // namespace stile::tools
