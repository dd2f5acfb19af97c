#pragma once
// The antennas of a station file and their conditions. Internal to the room.

#include <string>
#include <vector>

#include <stile/station/detail/toml_table.hpp>
#include <stile/station/station.hpp>

namespace stile::station::detail {

struct AntennaTables {
  std::vector<Antenna> antennas;
  std::vector<Condition> conditions;
};

/// Where files that a station names are.
struct Beside {
  std::string folder;
  const TextFiles& replaced;  ///< wires files that are not to be read from there, by their paths

  /// A file's path from where the program runs.
  std::string path(const std::string& file) const;
};

/// [[load]] or [[antenna]], joined by their conditions' names, with what [[condition]] says about these.
AntennaTables antennas_from(const TomlTable& document, const Beside& beside);

/// What a [[condition]] says of the condition of that name: role, share of the time, mean stay.
Condition condition_from(const TomlTable& table, const std::string& name);

/// Some condition must be normal, and shares are stated for every normal one or for none.
void check_conditions(const TomlTable& document, const std::vector<Condition>& conditions);

/// Gives every band its path, from [path] or [[path]].
void read_paths(const TomlTable& document, std::vector<Band>& bands);

/// Loads must have data along every band, and those of wires must be worth the number of frequencies.
void check_cover(const TomlTable& document, const std::vector<Band>& bands, const AntennaTables& tables);

/// Runs `make`; what it finds wrong is reported at the key's place.
template <class Make>
auto at(const TomlTable& table, std::string_view key, const Make& make) {
  try {
    return make();
  } catch (const DomainError& error) {
    table.fail(key, error.what());
  }
}

}  // namespace stile::station::detail
