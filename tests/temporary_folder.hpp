#pragma once
// A folder of a test's own, gone with it however it ends.

#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>

namespace stile::temporary {

class Folder {
public:
  /// @param name  how its own begins; with a space, as a user's may have one, unless something outside cannot bear that
  explicit Folder(const std::string& name = "stile test") {
    std::string made = (std::filesystem::temp_directory_path() / (name + "-XXXXXX")).string();
    if (::mkdtemp(made.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = made;
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }

  const std::filesystem::path& path() const { return path_; }
  std::string operator/(const std::string& file) const { return (path_ / file).string(); }

private:
  std::filesystem::path path_;
};

}  // namespace stile::temporary
