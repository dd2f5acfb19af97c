#include "cli/json_rows.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include <stile/base/errors.hpp>

#include "cli/table.hpp"

namespace stile::tools {
namespace {

using Cells = std::vector<std::pair<std::string, std::string>>;  ///< by column

std::string cell(const Json& value) {
  if (value.is_null()) return "";
  if (value.is_string()) return csv_text(value.get<std::string>());
  return value.is_number_float() ? csv_number(value.get<double>()) : value.dump();
}

bool has_rows(const Json& value) { return value.is_array() && !value.empty() && value.front().is_object(); }

/// What names a row, for the rows within it.
Json names_of(const Json& row) {
  Json names = Json::object();
  for (const char* key : {"band", "arrangement", "antenna", "condition"}) {
    if (row.contains(key)) names[key] = row[key];
  }
  return names;
}

void add_cells(const std::string& column, const Json& value, Cells& cells) {
  if (value.is_object()) {
    for (const auto& [key, member] : value.items()) add_cells(column.empty() ? key : column + "." + key, member, cells);
  } else if (value.is_array() && !value.empty() && value.front().is_number()) {
    require(value.size() == 2 || value.size() == 3, "a list of numbers is a range or a point");
    const std::vector<std::string> parts =
        value.size() == 2 ? std::vector<std::string>{"low", "high"} : std::vector<std::string>{"x", "y", "z"};
    for (std::size_t n = 0; n < parts.size(); ++n) cells.emplace_back(column + "." + parts[n], cell(value.at(n)));
  } else if (value.is_array()) {
    if (value.empty()) return;
    std::string all;
    for (const Json& text : value) all += (all.empty() ? "" : "; ") + text.get<std::string>();
    cells.emplace_back(column, csv_text(all));
  } else {
    cells.emplace_back(column, cell(value));
  }
}

}  // namespace

std::string csv_tables(const std::string& subject, const Json& rows) {
  std::vector<std::string> columns{"# " + subject};
  std::vector<Cells> table;
  std::vector<std::pair<std::string, Json>> within;  // rows within rows, by member
  for (const Json& row : rows) {
    Cells cells;
    for (const auto& [key, value] : row.items()) {
      if (!has_rows(value)) {
        add_cells(key, value, cells);
        continue;
      }
      auto known =
          std::find_if(within.begin(), within.end(), [&name = key](const auto& one) { return one.first == name; });
      if (known == within.end()) known = within.insert(known, {key, Json::array()});
      for (const Json& inner : value) {
        known->second.push_back(names_of(row));
        known->second.back().update(inner);
      }
    }
    for (const auto& [column, text] : cells) {
      if (std::find(columns.begin(), columns.end(), column) == columns.end()) columns.push_back(column);
    }
    table.push_back(std::move(cells));
  }
  std::string text;
  if (!table.empty()) text = csv_row(columns);
  for (const Cells& cells : table) {
    std::vector<std::string> line{columns.front()};
    for (std::size_t n = 1; n < columns.size(); ++n) {
      const auto here = [&](const auto& one) { return one.first == columns[n]; };
      const auto found = std::find_if(cells.begin(), cells.end(), here);
      line.push_back(found == cells.end() ? "" : found->second);
    }
    text += csv_row(line);
  }
  for (const auto& [member, inner] : within) text += csv_tables(subject + " " + member, inner);
  return text;
}

}  // namespace stile::tools
