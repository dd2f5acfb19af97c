#pragma once
// Data from which to wind a coil.

#include <string>
#include <utility>
#include <vector>

#include <stile/coil/winding.hpp>

namespace stile::coil {

/// A mark on the former.
struct BuildMark {
  std::string label;
  WirePlace place;
  double along_m = 0.0;    ///< from the first turn's wire centre, along the former
  double angle_deg = 0.0;  ///< round the former from the start of the winding, 0 to 360
  double around_m = 0.0;   ///< the same on the former's outside, as an arc
  double wire_m = 0.0;     ///< wire from the start of the winding
};

struct BuildData {
  double former_diameter_m = 0.0;  ///< outside: turn diameter less one wire
  double outer_diameter_m = 0.0;   ///< over the wire
  double winding_length_m = 0.0;   ///< over the wire: first to last edge
  double wire_length_m = 0.0;      ///< helix alone
  double cut_length_m = 0.0;       ///< with leads at every end
  double mass_kg = 0.0;            ///< metal of the cut length
  double helix_angle_deg = 0.0;    ///< of the first turn against the former's cross-section
  std::vector<BuildMark> turns;    ///< start of every turn and the ends of every section
  std::vector<BuildMark> taps;
  std::vector<BuildMark> holes;  ///< drill plan: through the former at both ends of every section
  double hole_diameter_m = 0.0;  ///< wire plus 0.2 mm (common practice)
};

/// @param taps    labels and places, any order
/// @param lead_m  spare wire at each end of each section, >= 0
/// @throws DomainError  a place is not on the winding
BuildData build_data(const Winding& winding, const std::vector<std::pair<std::string, WirePlace>>& taps, double lead_m);

}  // namespace stile::coil
