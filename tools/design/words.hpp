#pragma once
// How figures of a design are printed: shared by its reports.

#include <cmath>
#include <optional>
#include <string>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/quantity.hpp>
#include <stile/design/design.hpp>
#include <stile/station/brief.hpp>

#include "cli/json.hpp"

namespace stile::tools {

inline std::string db(double value) { return std::isfinite(value) ? fmt::format("{:.2f}", value) : "inf"; }
inline std::string db(const std::optional<double>& value) { return value ? db(*value) : "not known"; }

inline bool with_path(const design::DesignedStation& s) {
  for (const design::BandFigures& b : s.bands) {
    if (b.path_db) return true;
  }
  return false;
}

/// Which power an objective counts, behind "power that" or "what": of some bands towards the path, of the others all
/// that is radiated.
/// @param as  stands behind what goes towards the path
inline std::string what_counts(const design::Design& design, const std::string& as = "") {
  const std::string towards = "goes towards the other station" + as;
  if (design.towards_path) return towards;
  for (const design::DesignedStation& s : design.stations) {
    if (with_path(s)) return towards + " on the bands that have a [path], is radiated on the others";
  }
  return "is radiated";
}

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

/// Null where there is none.
inline Json named(const std::string& name) { return name.empty() ? Json(nullptr) : Json(name); }

/// What is in and on whip and wires, each behind a comma; how several wires lie.
inline std::string extras_text(const design::DesignedStation& s) {
  std::string text = s.layout.empty() ? "" : s.layout == "spread" ? " spread" : " bundled";
  if (!s.choke.empty()) text += ", choke " + s.choke;
  if (!s.hat.empty()) text += ", hat " + s.hat;
  if (!s.loading.empty()) text += ", on the whip " + s.loading;
  return text;
}

inline std::string antenna_text(const design::DesignedStation& s) { return lengths_text(s.antenna) + extras_text(s); }

/// " (80 m then stops holding)"
inline std::string stops_text(const std::vector<std::string>& bands) {
  return bands.empty() ? ""
                       : fmt::format(" ({} then stop{} holding)", fmt::join(bands, ", "), bands.size() == 1 ? "s" : "");
}

}  // namespace stile::tools
