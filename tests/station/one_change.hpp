#pragma once
// A text, one change to it, and the message that the change must bring.

#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>

namespace stile::station::test {

/// `text` with its one occurrence of `find` replaced.
inline std::string changed(std::string text, const std::string& find, const std::string& replace) {
  const std::size_t at = text.find(find);
  INFO("looked for: " << find);
  REQUIRE(at != std::string::npos);
  REQUIRE(text.find(find, at + 1) == std::string::npos);
  return text.replace(at, find.size(), replace);
}

/// Message of the ParseError that `read` ends with; says so when it ends otherwise.
template <class Read>
std::string parse_error(const Read& read) {
  try {
    read();
  } catch (const ParseError& error) {
    return error.what();
  } catch (const std::exception& error) {
    return std::string("not a ParseError: ") + error.what();
  }
  return "no error";
}

struct Change {
  std::string find, replace;
  std::string message;  ///< "line:column: ..." behind the file's name
};

}  // namespace stile::station::test
