#include <stile/plots/gnuplot.hpp>

#include <algorithm>
#include <array>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <string_view>
#include <vector>

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/plots/page.hpp>

extern char** environ;  // POSIX leaves its declaration to the user

namespace stile::plots::detail {
namespace {

std::vector<std::string> child_environment() {
  std::vector<std::string> all{"LC_ALL=C.UTF-8", "TZ=UTC"};
  for (char** entry = environ; entry && *entry; ++entry) {
    const std::string_view text = *entry;
    if (!text.starts_with("LC_ALL=") && !text.starts_with("TZ=")) all.emplace_back(text);
  }
  return all;
}

std::vector<char*> pointers(std::vector<std::string>& texts) {
  std::vector<char*> all;
  all.reserve(texts.size() + 1);
  for (std::string& text : texts) all.push_back(text.data());
  all.push_back(nullptr);
  return all;
}

struct Pipe {
  int ends[2] = {-1, -1};
  Pipe() {
    if (pipe2(ends, O_CLOEXEC) != 0) throw Error(fmt::format("cannot make a pipe: {}", std::strerror(errno)));
  }
  Pipe(const Pipe&) = delete;
  Pipe& operator=(const Pipe&) = delete;
  ~Pipe() {
    close_end(0);
    close_end(1);
  }
  void close_end(int which) {
    if (ends[which] >= 0) close(ends[which]);
    ends[which] = -1;
  }
};

struct FileActions {
  posix_spawn_file_actions_t actions{};
  FileActions() { posix_spawn_file_actions_init(&actions); }
  FileActions(const FileActions&) = delete;
  FileActions& operator=(const FileActions&) = delete;
  ~FileActions() { posix_spawn_file_actions_destroy(&actions); }
};

struct Attributes {
  posix_spawnattr_t attributes{};
  Attributes() { posix_spawnattr_init(&attributes); }
  Attributes(const Attributes&) = delete;
  Attributes& operator=(const Attributes&) = delete;
  ~Attributes() { posix_spawnattr_destroy(&attributes); }
};

/// gnuplot echoes the faulty line and a caret before its message ("FILE" line 7: ...); fontconfig's remarks about a
/// cache it cannot write are no concern of the chart.
std::string first_message(const std::string& text) {
  std::string fallback;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    std::string line = text.substr(at, end - at);
    at = end + 1;
    line.erase(0, line.find_first_not_of(" \t\r"));
    if (line.empty() || line == "^" || line.starts_with("Fontconfig ")) continue;
    const std::size_t place = line.find("\" line ");
    if (place != std::string::npos) return line.substr(place + 2);
    if (line.starts_with("warning:")) return line;
    if (fallback.empty()) fallback = line;
  }
  return fallback;
}

/// What a child says and how it ends. A stop kills its process group. It may close its standard error and go on, or end
/// while something that it started holds that open.
GnuplotRun wait_for(pid_t child, int errors, const std::function<bool()>& stop) {
  constexpr int look_ms = 20, end_ms = 1;
  GnuplotRun run;
  run.found = true;
  std::string text;
  bool open = true;
  const auto says = [&](int within_ms) {
    std::array<char, 4096> part{};
    pollfd ready{open ? errors : -1, POLLIN, 0};
    if (poll(&ready, 1, within_ms) <= 0) return false;
    const ssize_t n = read(errors, part.data(), part.size());
    if (n > 0) text.append(part.data(), static_cast<std::size_t>(n));
    open = n > 0 || (n < 0 && errno == EINTR);
    return open;
  };
  int status = 0;
  for (pid_t ended = 0; ended != child;) {
    if (!run.stopped && stop && stop()) {
      run.stopped = true;
      kill(-child, SIGKILL);
    }
    if (says(open ? look_ms : end_ms)) continue;
    ended = waitpid(child, &status, WNOHANG);
    if (ended < 0 && errno != EINTR) throw Error(fmt::format("cannot wait for gnuplot: {}", std::strerror(errno)));
  }
  while (says(0)) {
  }
  run.message = first_message(text);
  run.exit_status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  return run;
}

}  // namespace

GnuplotRun run_gnuplot(const std::vector<Drawing>& drawings, const std::function<bool()>& stop) {
  std::vector<std::string> words{"gnuplot", "-d"};
  for (const Drawing& d : drawings) {
    if (words.size() > 2) words.insert(words.end(), {"-e", "reset session"});  // which ends the line
    words.insert(words.end(), {"-e", "out=" + quoted_name(d.out_file), d.script_file});
  }
  std::vector<std::string> environment = child_environment();
  Pipe errors;
  FileActions files;
  posix_spawn_file_actions_addopen(&files.actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&files.actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_adddup2(&files.actions, errors.ends[1], STDERR_FILENO);
  Attributes own;
  sigset_t none;
  sigemptyset(&none);
  posix_spawnattr_setsigmask(&own.attributes, &none);
  posix_spawnattr_setpgroup(&own.attributes, 0);
  posix_spawnattr_setflags(&own.attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETPGROUP);

  pid_t child = 0;
  const int failure = posix_spawnp(&child, words[0].c_str(), &files.actions, &own.attributes, pointers(words).data(),
                                   pointers(environment).data());
  if (failure == ENOENT || failure == EACCES) return {};
  if (failure != 0) throw Error(fmt::format("cannot start gnuplot: {}", std::strerror(failure)));
  errors.close_end(1);
  return wait_for(child, errors.ends[0], stop);
}

}  // namespace stile::plots::detail
