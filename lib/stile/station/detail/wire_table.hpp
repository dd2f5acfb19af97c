#pragma once
// An antenna of wires as a TOML table: a file of its own, or inside a load of the station file. Internal to the room.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/station/detail/toml_table.hpp>
#include <stile/station/wires_file.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::station::detail {

/// See read_wires.
std::vector<wire::WireCase> wires_from(const TomlTable& table, const WiresOptions& options = {});

/// The ground that the key states: a name, or a table with "kind" or with the two numbers.
wire::Ground ground_from(const TomlTable& parent, std::string_view key);

/// Conductivity that "metal" or "conductivity" states; none is a perfect conductor.
std::optional<double> conductor_from(const TomlTable& table);

/// What "insulation" states.
std::optional<wire::Insulation> insulation_from(const TomlTable& table);

/// What the tables [set] and [person] state, in place of the library's own values.
wire::SetBody set_from(const TomlTable& table);
wire::PersonBody person_from(const TomlTable& table);

/// What "contact" of a hand on the set states; of a range its middle, and then its ends.
std::vector<wire::HandContact> contact_from(const TomlTable& table);

/// A [[lump]]. @param wires  names of those that it may be on
wire::NamedLump lump_from(const TomlTable& table, const std::vector<std::string>& wires);

/// "as drawn", "lifted", "leaning" ...: what the key "kind" of a [[condition]] may be.
std::vector<std::string> wire_condition_kinds();

}  // namespace stile::station::detail
