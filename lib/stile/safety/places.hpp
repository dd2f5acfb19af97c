#pragma once
// Where bodies are beside an antenna: the person who carries it and those who stand by, all of them on the ground.

#include <array>
#include <string>
#include <vector>

#include <stile/wire/conditions.hpp>

namespace stile::safety {

/// A place on a body.
struct Place {
  std::string name;
  wire::Vec3 point_m;
};

/// A standing person: places on the surface, and the axis from the soles up.
struct Bystander {
  std::string name;
  wire::Vec3 ground_m;  ///< where he stands; z is the ground's
  double stature_m = wire::PersonBody{}.stature_m;
};

/// The person who carries the antenna.
struct Carrier {
  Bystander stands;
  double radius_m = 0.1;      ///< of the trunk, its surface from its axis
  std::vector<Place> places;  ///< head, eyes, chest, back, hands and feet; a hand that touches the set is none of them
  bool in_model = false;  ///< drawn in the file; otherwise of the usual size, 0.4 m from the feed, away from the wires
};

/// Heights at which the field along a body is taken: the middles of 20 equal parts of the stature.
inline constexpr int body_points = 20;
std::vector<wire::Vec3> body_line(const Bystander& person);

/// Points on a body's surface: 8 around the axis at each height of body_line.
/// @param radius_m  > 0
std::vector<wire::Vec3> body_surface(const Bystander& person, double radius_m);

/// Places as shares of the stature h, from the whip's side: head 0.93 h and back at the height of the feed within 0.5
/// to 0.82 h, towards the whip; eyes 0.936 h and chest 0.72 h, away from it; all a trunk's radius off the axis. Hands
/// and feet where the model has them, else hanging and in mid-stride. Body proportions: common practice.
Carrier carrier_of(const wire::WireCase& wires);

/// Distance to the nearest conductor that is not a person, surface to point, m; at least 0.
double clearance_m(const wire::Antenna& antenna, wire::Vec3 point);

/// The same of a standing body's axis, axis to axis.
double body_distance_m(const wire::Antenna& antenna, const Bystander& person);

/// Standing at a distance from the feed, in 16 directions, none nearer than that distance to any conductor; where a
/// wire leaves no such direction, the one farthest from it.
std::vector<Bystander> bystanders_at(const wire::WireCase& wires, double distance_m);

/// Standing beyond the free end of each wire that is not the fed one, in its own direction, that far from it; those of
/// the carried set left out, and an end beside which another conductor is nearer (the shorter one of a bundle).
std::vector<Bystander> bystanders_at_ends(const wire::WireCase& wires, double distance_m);

/// The ends at which bystanders_at_ends lets nobody stand, a line each.
std::vector<std::string> ends_without_bystander(const wire::WireCase& wires, double distance_m);

/// A free end of a wire.
struct WireEnd {
  std::size_t wire = 0;
  wire::Vec3 at;
  wire::Vec3 direction;  ///< outwards, of length 1
};
std::vector<WireEnd> free_ends(const wire::WireCase& wires);

/// The same antenna without the person: his wires, and what stands on them.
wire::WireCase without_person(const wire::WireCase& wires);

/// The same with the feed `up_m` higher: the fed wire goes up whole, the others by their end at the feed; a person
/// stays, and so does what stands at a wire's far end.
wire::WireCase with_raised_feed(const wire::WireCase& wires, double up_m);

/// The same with the feed moved level, away from the axis of who carries it.
wire::WireCase with_feed_set_back(const wire::WireCase& wires, double back_m);

/// The person's conductivity and stature times factors; hands that touch stay where they are.
wire::WireCase with_other_person(const wire::WireCase& wires, double conductivity_factor, double stature_factor);

}  // namespace stile::safety
