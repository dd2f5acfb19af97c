#pragma once
// The near field of an antenna beside published levels.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>
#include <stile/safety/distances.hpp>

namespace stile::plots {

struct FieldCurve {
  std::string name;
  std::vector<safety::FieldAlong> points;  ///< with rising distance, at least two
};

struct FieldPlace {
  std::string name;
  double distance_m = 0.0;  ///< level, from the feed; > 0
  double e_v_m = 0.0, h_a_m = 0.0;
};

inline constexpr std::size_t most_field_curves = 6;

/// E and H against distance from the feed, with levels as lines and places of a person as marks. Levels carry their
/// value; below the panels it stands whose they are.
///
/// @param curves  1 to most_field_curves
/// @param levels  those without E or without H are missing in that panel, and those outside of the curves' fields;
///                lines within 2 % of each other share one
/// @throws DomainError  no curve, too many, a field not above 0
Chart field_distance_chart(const std::vector<FieldCurve>& curves, const std::vector<safety::LevelAt>& levels,
                           const std::vector<FieldPlace>& places, const ChartText& text);

/// The antenna and the person from the side, with lines of equal E and H.
///
/// @param wires   whose own wires are drawn, projected on the plane
/// @param levels  become contours with their value; below the panels it stands whose they are
/// @throws DomainError  a plane that is not filled
Chart field_side_chart(const safety::FieldPlane& plane, const wire::WireCase& wires,
                       const std::vector<safety::LevelAt>& levels, const std::vector<safety::Place>& places,
                       const ChartText& text);

}  // namespace stile::plots
