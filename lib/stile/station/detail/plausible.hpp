#pragma once
// The table of what is plausible, for every reader of the room's files.
//
// How to read a key: `plausible_value(table, "gap", plausible::feed_gap)` for one that must be there,
// `find_plausible(table, "gap", plausible::feed_gap)` for one that may be absent, `plausible_values` for an array, and
// `check_plausible` for a number that was read in another way. They replace positive, find_positive, find_not_negative
// and positives of TomlTable, whose own messages (missing, of another type, below 0) stay.

#include <optional>
#include <string_view>
#include <vector>

#include <stile/station/detail/toml_table.hpp>
#include <stile/station/plausible.hpp>

namespace stile::station::detail {

/// A fault when the value is outside `range`: what it is, what is plausible, and which unit may have been meant.
/// Reading can go on behind it.
void check_plausible(const TomlTable& table, std::string_view key, double value, const Plausible& range);

/// The key's quantity. @throws ParseError  missing, not such a quantity, not plausible
double plausible_value(const TomlTable& table, std::string_view key, const Plausible& range);

/// The same where the key may be absent.
std::optional<double> find_plausible(const TomlTable& table, std::string_view key, const Plausible& range);

/// Volume of the box of which the key states length, width and height, where it is there.
std::optional<double> find_box_m3(const TomlTable& table, std::string_view key);

/// An array of quantities, not empty, each plausible.
std::vector<double> plausible_values(const TomlTable& table, std::string_view key, const Plausible& range);

}  // namespace stile::station::detail
