#pragma once
// A switched coil as a TOML table. Internal to the room.

#include <string>
#include <vector>

#include <stile/station/detail/toml_table.hpp>
#include <stile/station/station.hpp>

namespace stile::station::detail {

/// What is wound, and its turns: former, wire, pitch, metal near it.
SwitchedCoil wound_from(const TomlTable& table);

/// @param bands        those of the file, which the taps name
/// @param bands_known  false: one has a fault, and a name that is missing may be its own
SwitchedCoil coil_from(const std::string& name, const TomlTable& table, const std::vector<Band>& bands,
                       bool bands_known);

}  // namespace stile::station::detail
