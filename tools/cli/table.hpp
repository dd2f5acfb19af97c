#pragma once
// Text for people: aligned tables, wrapped paragraphs; and the cells of CSV.

#include <string>
#include <string_view>
#include <vector>

namespace stile::tools {

/// Cells in aligned columns, two blanks apart; the first row is the heading. Rows may differ in length.
std::string aligned(const std::vector<std::vector<std::string>>& rows);

/// The text in lines of at most `width` characters, each behind `indent` blanks and ended by a line feed.
std::string wrapped(std::string_view text, std::size_t indent, std::size_t width);

/// The pieces between separators; n separators give n + 1 pieces.
std::vector<std::string> split(std::string_view text, char separator);

/// 4 significant figures; "inf", and "-" for nan (not known).
std::string figure(double value);

/// Shortest digits that read back the same; "inf"; empty for nan (not known).
std::string csv_number(double value);

/// Quoted where RFC 4180 asks for it.
std::string csv_text(const std::string& text);

/// Cells joined by commas, ended by a line feed.
std::string csv_row(const std::vector<std::string>& cells);

}  // namespace stile::tools
