#pragma once
// Tables that mean the same in a station and in a brief. Internal to the room.

#include <vector>

#include <stile/station/detail/arrangement_table.hpp>
#include <stile/station/detail/toml_table.hpp>
#include <stile/station/station.hpp>

namespace stile::station::detail {

Transmitter transmitter_from(const TomlTable& table);

/// [[band]]. One with a fault has high_hz = 0.
/// @param weights  of a brief: gets what "weight" says of each; nothing: the key is unknown
void read_bands(const TomlTable& document, std::vector<Band>& into, std::vector<double>* weights);

/// [cable.NAME], [[tuner]], [parts].
void read_shelf(const TomlTable& document, const std::vector<Band>& bands, Shelf& shelf);

/// [coil.NAME].
void read_coils(const TomlTable& document, const std::vector<Band>& bands, Shelf& shelf);

/// [uncertainty], [decision], [mode], [battery].
void read_circumstances(const TomlTable& document, Station& station);

}  // namespace stile::station::detail
