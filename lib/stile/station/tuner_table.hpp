#pragma once
// A tuner as a TOML table. Internal to the room.

#include <stile/station/toml_table.hpp>
#include <stile/tuner/tuner.hpp>

namespace stile::detail {

Tuner tuner_from(const TomlTable& table);

/// voltage (peak), current (rms), power: each optional.
Rating rating_from(const TomlTable& parent, std::string_view key);

}  // namespace stile::detail
