#pragma once
// Errors of the library. Wrong arguments throw DomainError, unreadable text throws ParseError; what can
// honestly fail - a search that finds nothing - returns a struct with a status instead.

#include <cstddef>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace stile {

/// Base of everything the library throws.
struct Error : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// An argument is outside its stated range. The message names what, the value and the legal range.
struct DomainError : Error {
  using Error::Error;
};

/// Where in a text something was found. Line and column count from 1; 0 means "not known".
struct Where {
  std::string file;      ///< file name, "-" for standard input, or the name of a command-line option
  std::size_t line = 0;  ///< 0: the text is not a file (an option's argument)
  std::size_t column = 0;
};

/// "file:line:col" with the unknown parts left out; an option's argument reads "--frequency: column 5".
std::string to_string(const Where& where);

/// The front and the end of a message of more than 2000 bytes, with the number of bytes left out between them: what a
/// message quotes of a text may be long. At most 2000 bytes; cut between characters of UTF-8.
std::string shortened(std::string_view message);

/// A text cannot be read. what() is "file:line:col: message", with what would be legal in the message, shortened.
struct ParseError : Error {
  ParseError(Where place, std::string_view message);
  Where where;

protected:
  struct AsIs {};
  ParseError(AsIs, Where place, std::string_view message);
};

/// A text has several faults, found in one pass. what() has a line for each, `faults` has all in the order of their
/// places.
struct ParseErrors : ParseError {
  /// @param found  at least one, in any order
  explicit ParseErrors(std::vector<ParseError> found);
  std::vector<ParseError> faults;

private:
  struct InOrder {};
  ParseErrors(InOrder, std::vector<ParseError> found);
};

/// @throws DomainError with `message` when `condition` is false.
inline void require(bool condition, const char* message) {
  if (!condition) throw DomainError(message);
}

}  // namespace stile
