#include "cli/table.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

namespace stile::tools {
namespace {

/// Characters, not bytes, of UTF-8.
std::size_t width_of(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

}  // namespace

std::string aligned(const std::vector<std::vector<std::string>>& rows) {
  std::vector<std::size_t> widths;
  for (const auto& row : rows) {
    if (row.size() > widths.size()) widths.resize(row.size(), 0);
    for (std::size_t n = 0; n < row.size(); ++n) widths[n] = std::max(widths[n], width_of(row[n]));
  }
  std::string text;
  for (const auto& row : rows) {
    for (std::size_t n = 0; n < row.size(); ++n) {
      text += row[n];
      if (n + 1 < row.size()) text.append(widths[n] - width_of(row[n]) + 2, ' ');
    }
    text += '\n';
  }
  return text;
}

std::string wrapped(std::string_view text, std::size_t indent, std::size_t width) {
  std::string out, line(indent, ' ');
  bool empty = true;
  for (const std::string& word : split(text, ' ')) {
    if (!empty && width_of(line) + 1 + width_of(word) > width) {
      out += line + "\n";
      line.assign(indent, ' ');
      empty = true;
    }
    if (!empty) line += ' ';
    line += word;
    empty = false;
  }
  return out + line + "\n";
}

std::vector<std::string> split(std::string_view text, char separator) {
  std::vector<std::string> pieces;
  for (;;) {
    const std::size_t end = text.find(separator);
    pieces.emplace_back(text.substr(0, end));
    if (end == std::string_view::npos) return pieces;
    text.remove_prefix(end + 1);
  }
}

std::string figure(double value) { return std::isnan(value) ? "-" : fmt::format("{:.4g}", value); }

std::string csv_number(double value) { return std::isnan(value) ? "" : fmt::format("{}", value); }

std::string csv_text(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + "\"";
}

std::string csv_row(const std::vector<std::string>& cells) {
  std::string row;
  for (std::size_t n = 0; n < cells.size(); ++n) row += (n == 0 ? "" : ",") + cells[n];
  return row + "\n";
}

}  // namespace stile::tools
