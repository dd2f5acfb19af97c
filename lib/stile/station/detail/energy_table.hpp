#pragma once
// Battery, mode of operating and what tuners draw, of a station file. Internal to the room.

#include <stile/station/detail/toml_table.hpp>
#include <stile/station/station.hpp>

namespace stile::station::detail {

/// [mode]: "name" of a mode, "talk" and "over".
safety::Duty mode_from(const TomlTable& table);

/// [battery] with the set's currents, which stand in [transmitter].
/// @param mode  of the file, which an operating time needs
Supply supply_from(const TomlTable& battery, const TomlTable& transmitter, const safety::Duty& mode);

/// "supply" of an arrangement: what its tuner draws.
energy::TunerDraw tuner_draw_from(const TomlTable& table);

}  // namespace stile::station::detail
