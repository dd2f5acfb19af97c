#include "output.hpp"

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <system_error>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "signals.hpp"

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

void write_directly(const std::string& path, std::string_view text) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  if (file < 0) fail(path, errno);
  if (const int error = write_and_close(file, text)) fail(path, error);
}

void write_and_rename(const std::string& path, const fs::path& target, std::string_view text) {
  const std::string part = target.string() + ".part" + std::to_string(::getpid());
  const int file = ::open(part.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (file < 0) fail(path, errno);
  struct stat old {};
  if (::stat(target.c_str(), &old) == 0) (void)::fchmod(file, old.st_mode & 07777U);   // as the file that it replaces
  int error = write_and_close(file, text);
  if (error == 0 && std::rename(part.c_str(), target.c_str()) != 0) error = errno;
  if (error != 0) {
    ::unlink(part.c_str());
    fail(path, error);
  }
}

}  // namespace

void write_output(const std::string& path, std::string_view text) {
  if (path == "-") {
    if (const int error = write_all(STDOUT_FILENO, text)) fail(path, error);
    return;
  }
  std::error_code ignored;
  const fs::file_status status = fs::status(path, ignored);
  if (fs::is_directory(status)) fail(path, EISDIR);
  if (fs::exists(status) && !fs::is_regular_file(status)) return write_directly(path, text);
  const HoldSignals held;
  const fs::path target = fs::is_symlink(fs::symlink_status(path, ignored)) ? fs::weakly_canonical(path, ignored) : fs::path(path);
  write_and_rename(path, target, text);
}

}  // namespace stile::tools
