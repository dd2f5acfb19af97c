#pragma once
// Arrangements of a station file, their parts and the settings they state. Internal to the room.

#include <vector>

#include <stile/station/detail/antenna_table.hpp>
#include <stile/station/detail/toml_table.hpp>
#include <stile/station/station.hpp>

namespace stile::station::detail {

/// What arrangements name.
struct Shelf {
  std::vector<NamedCable> cables;
  std::vector<tuner::Tuner> tuners;
  std::vector<SwitchedCoil> coils;
  Parts parts;
  /// No fault was found where they are defined: what is missing was never there.
  bool cables_known = true, tuners_known = true, coils_known = true, antennas_known = true, bands_known = true;
};

/// `parts` with what the table states in their place.
Parts parts_from(Parts parts, const TomlTable& table);

Arrangement arrangement_from(const TomlTable& table, const Shelf& shelf, const AntennaTables& antennas,
                             const std::vector<Band>& bands);

}  // namespace stile::station::detail
