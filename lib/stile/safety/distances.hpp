#pragma once
// How far from an antenna a published level is met, from the currents, in three dimensions; and the far-field formula,
// kept apart from it.

#include <string>
#include <vector>

#include <stile/safety/exposure.hpp>

namespace stile::safety {

/// Outermost place in one direction at which a standing person is above a level.
struct Reach {
  double azimuth_deg = 0.0;  ///< from the x axis towards y
  double distance_m = 0.0;   ///< level, from where `around` says; 0: met from 0.05 m on. Nearer than 0.2 m is told as
                             ///< 0.2 m where 47 CFR 1.1310 says nothing
  double height_m = 0.0;     ///< at which the field is strongest there
  bool above_there = false;  ///< still above the level at that distance, where the search ends: met only beyond it
};

struct LevelReach {
  std::string around;  ///< "the feed", or "the end of \"NAME\""
  bool wire_end = false;
  LevelAt level;
  std::vector<Reach> directions;  ///< 16 around the feed, and those towards the points of wires; outwards and to both
                                  ///< sides of a wire's end
  Reach farthest;
};

/// Distances at which each level is met, for persons standing on the ground: whole-body levels against the root of the
/// mean square over the 20 heights of body_line, the others against the strongest of these. A direction along a wire
/// goes on beyond it. The search ends within 250 m; what is above its level there is told as `above_there`.
///
/// @throws DomainError  as fields_at_people
/// Accuracy: 3 % beside a search by halving; rings stand at most 20 % or 0.25 m apart, and a narrower peak is missed.
std::vector<LevelReach> level_reaches(const ExposureCase& one, const ExposureOptions& options);

/// Field strength along a line, for a chart: outwards from the feed in a direction, at one height.
struct FieldAlong {
  double distance_m = 0.0;
  double e_v_m = 0.0, h_a_m = 0.0;
};
/// @param distance_m  each > 0
std::vector<FieldAlong> field_along(const ExposureCase& one, double azimuth_rad, double height_m,
                                    std::span<const double> distance_m, const ExposureOptions& options);

/// Field over an upright plane through the feed, for a chart. Cell (column, row) is centred at
/// low_m + (high_m - low_m) (column + 1/2)/columns away from the feed, z likewise from the ground up to top_m.
struct FieldPlane {
  double azimuth_rad = 0.0;  ///< of the plane's positive side
  double low_m = -1.5, high_m = 2.5, top_m = 4.0;
  std::size_t columns = 80, rows = 80;
  std::vector<double> e_v_m = {}, h_a_m = {};  ///< row by row from the ground; filled by field_plane
};
/// @throws DomainError  low_m not below high_m, top_m not above 0, fewer than two columns or rows
FieldPlane field_plane(const ExposureCase& one, FieldPlane plane, const ExposureOptions& options);

/// The plane through the person and the feed that shows both, the whip and some of what trails.
FieldPlane plane_of(const wire::WireCase& wires);

/// Distances for a chart: 0.1 to 10 m, evenly in their logarithm.
std::vector<double> chart_distances();

/// Level distance of a point from the feed, m.
double distance_from_feed_m(const wire::WireCase& wires, wire::Vec3 point);

/// From the person who carries it to the feed, from the x axis towards y, rad.
double azimuth_from_carrier(const wire::WireCase& wires);

/// What a far-field formula makes of a gain: R = sqrt(F P G/(4 pi S)).
struct FarDistance {
  double distance_m = 0.0;
  bool applies =
      false;  ///< at least half a wavelength away; nearer to an antenna the formula is not on the cautious side
};

/// For comparison with published tables only: nothing of this library judges a field by it.
///
/// @param mean_power_w, gain, s_w_m2  > 0; gain with the antenna's losses inside
/// @param reflection  of power: 1 free space, 2.56 the usual ground factor, 4 in phase
/// Source: FCC OET Bulletin 65 (Edition 97-01), August 1997, equations (3) to (7).
/// For users of the library.
FarDistance far_field_distance(double frequency_hz, double mean_power_w, double gain, double s_w_m2,
                               double reflection = 2.56);

}  // namespace stile::safety
