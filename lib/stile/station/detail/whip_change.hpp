#pragma once
// Whips that arrangements change: antennas of their own behind those of the file. Internal to the room.

#include <optional>
#include <vector>

#include <stile/station/detail/toml_table.hpp>
#include <stile/station/station.hpp>

namespace stile::station::detail {

/// The key "whip" of an arrangement.
/// @param coils, coils_known  those of the file; false: some have faults of their own
std::optional<WhipChange> whip_change_from(const TomlTable& arrangement, const std::vector<SwitchedCoil>& coils,
                                           bool coils_known);

/// Gives arrangements with another whip an antenna of their own: that of the file with the whip so changed, in all its
/// conditions. Equal changes share it.
/// @param tables  one an arrangement
void change_whips(const std::vector<TomlTable>& tables, std::vector<Arrangement>& arrangements,
                  std::vector<Antenna>& antennas);

}  // namespace stile::station::detail
