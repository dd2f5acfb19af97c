#pragma once
// Where results go.

#include <stdexcept>
#include <string>
#include <string_view>

namespace stile::tools {

/// A result cannot be written: what() names the file and the reason. Exit status 2.
struct OutputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Writes all of `text` to standard output ("-") or to a file.
///
/// A file is written under a temporary name in its own folder and renamed when it is complete, so that nobody ever
/// sees half of it and a failure leaves what was there. What is not a regular file (a pipe, a device) is written to
/// directly; a symbolic link is followed.
/// @throws OutputError  cannot be opened or written, a folder, the disk is full; nothing is left behind
void write_output(const std::string& path, std::string_view text);

}  // namespace stile::tools
