#pragma once
// How figures of a design are printed: shared by its reports.

#include <cmath>
#include <optional>
#include <string>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/quantity.hpp>
#include <stile/station/brief.hpp>

#include "cli/json.hpp"

namespace stile::tools {

inline std::string db(double value) { return std::isfinite(value) ? fmt::format("{:.2f}", value) : "inf"; }
inline std::string db(const std::optional<double>& value) { return value ? db(*value) : "not known"; }

inline Json known(const std::optional<double>& value) {
  return value && std::isfinite(*value) ? Json(*value) : Json(nullptr);
}

inline std::string lengths_text(const station::AntennaChoice& a) {
  std::vector<std::string> wires;
  for (const double length_m : a.wires_m) wires.push_back(print_quantity(length_m, Unit::metre));
  return fmt::format("whip {}, {}", print_quantity(a.whip_m, Unit::metre),
                     wires.empty()       ? "no wire"
                     : wires.size() == 1 ? "wire " + wires.front()
                                         : fmt::format("wires {}", fmt::join(wires, ", ")));
}

/// " (80 m then stops holding)"
inline std::string stops_text(const std::vector<std::string>& bands) {
  return bands.empty() ? ""
                       : fmt::format(" ({} then stop{} holding)", fmt::join(bands, ", "), bands.size() == 1 ? "s" : "");
}

}  // namespace stile::tools
