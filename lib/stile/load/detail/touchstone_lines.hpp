#pragma once
// Lines, words and numbers of a Touchstone text, each with its place. Inner part of the reader.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace stile::load::detail::touchstone {

struct Word {
  std::string_view text;
  std::size_t column = 0;  ///< from 1
};

struct Line {
  std::size_t number = 0;   ///< from 1
  std::string_view text;    ///< without comment
  std::vector<Word> words;  ///< split at blanks and tabs; never empty
};

struct Text {
  std::vector<Line> lines;    ///< those that hold more than blanks and comments
  std::size_t last_line = 1;  ///< number of the last line, of whatever kind
};

/// Splits at LF, CR LF or CR, behind a byte order mark. The views point into `text`.
/// @param first  number of its first line
/// @throws ParseError  a byte outside printable ASCII and tab, in comments too
Text split(std::string_view text, const std::string& file, std::size_t first = 1);

std::string lower(std::string_view text);

/// True when the whole text is a decimal number as decimal_end takes it, sign included.
bool looks_like_number(std::string_view text);

/// A finite number, correctly rounded.
/// @throws ParseError  anything else
double number(const Word& word, std::size_t line, const std::string& file);

/// The same number times `factor`, rounded once from extended precision, so that a value written as value / factor
/// comes back to the last bit.
double scaled_number(const Word& word, long double factor, std::size_t line, const std::string& file);

/// The same number times 10^exponent, correctly rounded: 7.1 MHz is 7100000 Hz exactly.
double shifted_number(const Word& word, int exponent, std::size_t line, const std::string& file);

}  // namespace stile::load::detail::touchstone
