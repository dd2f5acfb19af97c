#include <stile/station/files_named.hpp>

#include <algorithm>
#include <array>
#include <string_view>

#include <toml++/toml.h>

#include <stile/base/table.hpp>
#include <stile/station/detail/antenna_table.hpp>

namespace stile::station {
namespace {

constexpr std::array<std::string_view, 4> keys_of_files{"wires", "file", "shares", "levels"};

struct Named {
  std::string name;
  toml::source_position place;
};

/// Every text under one of those keys, at any depth.
void collect(const toml::node& node, std::vector<Named>& names) {
  if (const toml::array* list = node.as_array()) {
    for (const toml::node& item : *list) collect(item, names);
  }
  const toml::table* table = node.as_table();
  if (table == nullptr) return;
  for (const auto& [key, value] : *table) {
    const bool file = std::find(keys_of_files.begin(), keys_of_files.end(), key.str()) != keys_of_files.end();
    if (file && value.is_string())
      names.push_back({value.as_string()->get(), value.source().begin});
    else
      collect(value, names);
  }
}

}  // namespace

std::vector<NamedFile> files_named(const StationText& stated) {
  std::vector<Named> names;
  try {
    collect(toml::parse(stated.text, stated.file), names);
  } catch (const toml::parse_error& error) {
    throw ParseError({stated.file, error.source().begin.line, error.source().begin.column},
                     std::string(error.description()));
  }
  // A table of toml++ is in the order of its keys, not of the file.
  std::stable_sort(names.begin(), names.end(), [](const Named& a, const Named& b) {
    return a.place.line != b.place.line ? a.place.line < b.place.line : a.place.column < b.place.column;
  });
  std::vector<NamedFile> files;
  for (const Named& named : names) {
    const std::string path = detail::Beside{stated.folder, stated.replaced}.path(named.name);
    const auto known = [&](const NamedFile& f) { return f.path == path; };
    if (std::any_of(files.begin(), files.end(), known)) continue;
    const auto replaced = stated.replaced.find(path);
    files.push_back({path, replaced != stated.replaced.end() ? replaced->second : read_text_file(path)});
  }
  return files;
}

}  // namespace stile::station
