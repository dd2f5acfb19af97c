#include "cli/output.hpp"

#include <cerrno>
#include <csignal>
#include <cstdio>
#include <filesystem>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

namespace stile::tools {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const std::string& path, int error) {
  const std::string name = path == "-" ? "standard output" : path;
  throw OutputError(name + ": cannot be written: " + std::generic_category().message(error) +
                    "; legal: a file in a folder that may be written to, or - for standard output");
}

/// All of the text, or the error's number.
int write_all(int file, std::string_view text) {
  while (!text.empty()) {
    const ssize_t count = ::write(file, text.data(), text.size());
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return errno;
    text.remove_prefix(static_cast<std::size_t>(count));
  }
  return 0;
}

int write_and_close(int file, std::string_view text) {
  int error = write_all(file, text);
  if (::close(file) != 0 && error == 0) error = errno;
  return error;
}

/// Writes to a pipe or a device.
int write_directly(const std::string& path, std::string_view text) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  return file < 0 ? errno : write_and_close(file, text);
}

/// Writes a new file with the permissions of the one that it is to replace.
int write_part(const std::string& part, const std::string& target, std::string_view text) {
  const int file = ::open(part.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (file < 0) return errno;
  struct stat old {};
  if (::stat(target.c_str(), &old) == 0) (void)::fchmod(file, old.st_mode & 07777U);
  const int error = write_and_close(file, text);
  if (error != 0) ::unlink(part.c_str());
  return error;
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

void Outputs::discard() {
  for (const Staged& s : staged_) ::unlink(s.part.c_str());
  for (const std::string& file : made_) ::unlink(file.c_str());
  staged_.clear();
  waiting_.clear();
  made_.clear();
  held_.reset();
}

void Outputs::add(const std::string& path, std::string text) {
  if (path == "-") {
    waiting_.push_back({path, std::move(text)});
    return;
  }
  std::error_code ignored;
  const fs::file_status status = fs::status(path, ignored);
  if (fs::is_directory(status)) fail(path, EISDIR);
  if (fs::exists(status) && !fs::is_regular_file(status)) {
    waiting_.push_back({path, std::move(text)});
    return;
  }
  const fs::path target =
      fs::is_symlink(fs::symlink_status(path, ignored)) ? fs::weakly_canonical(path, ignored) : fs::path(path);
  Staged next{path, target.string() + ".part" + std::to_string(::getpid()), target.string()};
  held_.emplace();
  if (const int error = write_part(next.part, next.target, text)) fail(path, error);
  staged_.push_back(std::move(next));
}

void Outputs::guard(const std::vector<std::string>& files) {
  std::error_code ignored;
  for (const std::string& file : files) {
    if (!fs::exists(fs::symlink_status(file, ignored))) made_.push_back(file);
  }
}

void Outputs::commit() {
  for (const Waiting& w : waiting_) {
    int error = 0;
    {
      const NoBrokenPipe scope;
      error = w.path == "-" ? write_all(STDOUT_FILENO, w.text) : write_directly(w.path, w.text);
    }
    if (error == 0) continue;
    const std::string path = w.path;
    discard();
    if (error == EPIPE) (void)std::raise(SIGPIPE);  // comes back only where that signal is ignored or caught
    fail(path, error);
  }
  while (!staged_.empty()) {
    const Staged& s = staged_.back();
    guard({s.target});
    if (std::rename(s.part.c_str(), s.target.c_str()) != 0) fail(s.path, errno);
    staged_.pop_back();
  }
  made_.clear();
  held_.reset();
}

void write_output(const std::string& path, std::string_view text) {
  Outputs outputs;
  outputs.add(path, std::string(text));
  outputs.commit();
}

}  // namespace stile::tools
