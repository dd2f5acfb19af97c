#pragma once
// How long the battery lasts with each arrangement, as text, JSON and CSV comments.

#include <string>
#include <vector>

#include <stile/station/station.hpp>

#include "cli/json.hpp"

namespace stile::tools {

/// What the hours stand on. The station states a battery.
std::string energy_note(const station::Station& station);
/// A row each arrangement below the heading.
std::vector<std::vector<std::string>> energy_rows(const station::Station& station);

/// Both for people; empty when the station states no battery.
std::string energy_text(const station::Station& station);

/// The array of the key "energy": an object for each arrangement; empty when the station states no battery.
Json energy_json(const station::Station& station);

/// The object of the key "battery": what the hours stand on; null when the station states none.
Json battery_json(const station::Station& station);

/// The same figures as comment lines.
std::string energy_csv(const station::Station& station);

}  // namespace stile::tools
