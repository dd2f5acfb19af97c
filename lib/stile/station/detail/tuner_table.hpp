#pragma once
// A tuner as a TOML table. Internal to the room.

#include <stile/station/detail/toml_table.hpp>
#include <stile/tuner/continuous.hpp>
#include <stile/tuner/tuner.hpp>

namespace stile::station::detail {

tuner::Tuner tuner_from(const TomlTable& table);
tuner::ContinuousTuner continuous_tuner_from(const TomlTable& table);

// What both kinds share.
struct CapacitorSides {
  bool transmitter = true, load = true;
};
tuner::TunerForm form_from(const TomlTable& table);
CapacitorSides sides_from(const TomlTable& table, tuner::TunerForm form);
network::Loss loss_from(const TomlTable& table);

/// voltage (peak), current (rms), power: each optional.
network::Rating rating_from(const TomlTable& parent, std::string_view key);

}  // namespace stile::station::detail
