#pragma once
// Tables of text with a heading line: CSV and TSV, read strictly, each cell with its place in the file.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <stile/base/errors.hpp>

namespace stile {

struct Cell {
  std::string text;  ///< without the quotes; blanks belong to it
  Where where;       ///< of the text's first byte: in a quoted cell the one after the quote
};

struct Table {
  std::string file;
  std::vector<Cell> heading;
  std::vector<std::vector<Cell>> rows;  ///< every row has as many cells as the heading

  /// @throws ParseError  no such column (the message lists those there are)
  std::size_t column(std::string_view name) const;
  bool has_column(std::string_view name) const;
  /// @param row  counts from 0. @throws DomainError  no such row; ParseError  no such column
  const std::string& text(std::size_t row, std::string_view name) const;
  /// A finite number, read as strictly as by read_quantity. @throws ParseError  empty or not a number, with its place
  double number(std::size_t row, std::string_view name) const;
};

/// Reads comma-separated text by RFC 4180 (Shafranovich, Common Format and MIME Type for CSV Files, 2005): cells in
/// quotes may hold separators, line ends and doubled quotes; lines end with CR LF or LF. A tab or a semicolon as
/// `separator` follows the same rules.
/// Lines that start with '#' before the heading or between rows, blank lines and a byte order mark are skipped.
///
/// @param file  name for messages. Lines and columns count from 1, columns in bytes, without the byte order mark
/// @throws ParseError   no heading, a duplicate heading, a row with another number of cells, an open quote, a quote
///                      inside a bare cell, text after a closing quote, a carriage return alone
/// @throws DomainError  another separator
Table read_table(std::string_view text, std::string file, char separator = ',');

/// Whole content of a file; "-" is standard input.
/// @throws ParseError  it cannot be opened or read, or is a directory (the message gives the system's reason)
std::string read_text_file(const std::string& path);

}  // namespace stile
