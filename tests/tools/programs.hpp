#pragma once
// Runs the programs as a shell does, each in an empty folder of its own.

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "temporary_folder.hpp"

// Programs with an address sanitizer hold several times as much memory; gcc and clang say it in different words.
#if defined(__SANITIZE_ADDRESS__)
#define STILE_SANITIZED
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define STILE_SANITIZED
#endif
#endif

namespace programs {

namespace fs = std::filesystem;

/// A station with one constant load and nothing that needs a file.
inline const std::string small_station = R"([station]
name = "test"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
[[load]]
condition = "dry"
impedance = "20-300j"
[[arrangement]]
name = "coil"
kind = "base coil"
)";

/// A text with the first `what` as `by`; it must be there.
inline std::string replaced(std::string text, const std::string& what, const std::string& by) {
  const std::size_t place = text.find(what);
  REQUIRE(place != std::string::npos);
  return text.replace(place, what.size(), by);
}

inline std::string content(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

struct Run {
  int status = -1;
  std::string out, err;
  nlohmann::json json() const { return nlohmann::json::parse(out); }
};

/// An empty folder, removed at the end; its name holds a space, as a user's may.
class Folder : stile::temporary::Folder {
public:
  Folder() { fs::create_directory(path() / "work"); }

  fs::path file(const std::string& name) const { return path() / "work" / name; }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(file(name), std::ios::binary) << text;
  }

  /// Names of what lies in it.
  std::vector<std::string> names() const {
    std::vector<std::string> all;
    for (const auto& entry : fs::directory_iterator(path() / "work")) all.push_back(entry.path().filename().string());
    std::sort(all.begin(), all.end());
    return all;
  }

  /// A command line of bash with the programs on the PATH; the status is that of the last failing part of a pipe.
  Run run(const std::string& command) const {
    std::ofstream(path() / "command") << "set -o pipefail\nPATH='" STILE_TOOLS_FOLDER "':$PATH\nLC_ALL=C.UTF-8\n"
                                      << command << "\n";
    const std::string line = "cd '" + (path() / "work").string() + "' && bash ../command >../out 2>../err </dev/null";
    const int status = std::system(line.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status), content(path() / "out"),
            content(path() / "err")};
  }
};

inline std::size_t lines(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

}  // namespace programs
