#pragma once
// Tables of text with a heading line: CSV and TSV, read strictly, each cell with its place in the file.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <stile/base/errors.hpp>

namespace stile {

struct Cell {
  std::string text;
  Where where;
};

struct Table {
  std::string file;
  std::vector<Cell> heading;
  std::vector<std::vector<Cell>> rows;     ///< every row has as many cells as the heading

  /// @throws ParseError  no such column (the message lists those there are)
  std::size_t column(std::string_view name) const;
  bool has_column(std::string_view name) const;
  const std::string& text(std::size_t row, std::string_view name) const;
  /// A finite number. @throws ParseError  empty or not a number, with the cell's place
  double number(std::size_t row, std::string_view name) const;
};

/// Reads comma-separated text (RFC 4180 quoting) or, when `separator` is '\t', tab-separated text.
/// Lines that start with '#' before the heading or between rows, and blank lines, are skipped.
///
/// @throws ParseError  no heading, a duplicate heading, a row with another number of cells, an open quote
Table read_table(std::string_view text, std::string file, char separator = ',');

/// Whole content of a file; "-" is standard input.
/// @throws ParseError  it cannot be opened or read (the message says why)
std::string read_text_file(const std::string& path);

}  // namespace stile
