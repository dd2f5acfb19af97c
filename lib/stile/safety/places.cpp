#include <stile/safety/places.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::safety {

using namespace wire::detail;
using wire::Vec3;

namespace {

constexpr double usual_stature_m = wire::PersonBody{}.stature_m;

const wire::Wire* wire_named(const wire::Antenna& antenna, const std::string& name) {
  const auto found = std::find_if(antenna.wires.begin(), antenna.wires.end(),
                                  [&](const wire::Wire& w) { return w.person && w.name == name; });
  return found == antenna.wires.end() ? nullptr : &*found;
}

Vec3 feed_point(const wire::Antenna& antenna) { return antenna.wires[antenna.feed.wire].points.front(); }

bool joins_another(const wire::Antenna& antenna, std::size_t wire, Vec3 end) {
  for (std::size_t w = 0; w < antenna.wires.size(); ++w) {
    if (w == wire) continue;
    for (const Vec3& p : antenna.wires[w].points) {
      if (same_place(p, end)) return true;
    }
  }
  return false;
}

/// Level unit vector of the wires that trail from the feed; along x where none does.
Vec3 heading_of(const wire::WireCase& wires) {
  const Vec3 base = feed_point(wires.antenna);
  Vec3 heading{1.0, 0.0, 0.0};
  double farthest = 1e-3;
  for (std::size_t w = 0; w < wires.antenna.wires.size(); ++w) {
    if (w == wires.antenna.feed.wire || wires.antenna.wires[w].person) continue;
    const Vec3 to = wires.antenna.wires[w].points.back() - base;
    const double level = std::hypot(to.x_m, to.y_m);
    if (level <= farthest) continue;
    farthest = level;
    heading = {to.x_m / level, to.y_m / level, 0.0};
  }
  return heading;
}

/// A hand that touches stands in the model as a part at the end of its arm.
bool holds(const wire::Antenna& antenna, const wire::Wire& arm) {
  return std::any_of(antenna.lumps.begin(), antenna.lumps.end(),
                     [&](const wire::WireLump& l) { return &antenna.wires[l.wire] == &arm; });
}

}  // namespace

std::vector<Vec3> body_line(const Bystander& person) {
  std::vector<Vec3> line;
  line.reserve(body_points);
  for (int n = 0; n < body_points; ++n)
    line.push_back(person.ground_m + Vec3{0.0, 0.0, (n + 0.5) / body_points * person.stature_m});
  return line;
}

std::vector<Vec3> body_surface(const Bystander& person, double radius_m) {
  constexpr int around = 8;
  std::vector<Vec3> points;
  for (const Vec3& p : body_line(person)) {
    for (int n = 0; n < around; ++n) {
      const double angle = two_pi * n / around;
      points.push_back(p + Vec3{radius_m * std::cos(angle), radius_m * std::sin(angle), 0.0});
    }
  }
  return points;
}

Carrier carrier_of(const wire::WireCase& wires) {
  const wire::Antenna& a = wires.antenna;
  const Vec3 base = feed_point(a);
  const wire::PersonBody usual;
  const wire::Wire* trunk = wire_named(a, "person's trunk");
  Carrier c;
  c.in_model = trunk != nullptr;
  const double radius = trunk ? trunk->radius_m : usual.radius_m;
  c.radius_m = radius;
  const double h = trunk ? trunk->points.back().z_m / wire::shoulder_share : usual_stature_m;
  const Vec3 axis = trunk ? Vec3{trunk->points.back().x_m, trunk->points.back().y_m, 0.0}
                          : Vec3{base.x_m, base.y_m, 0.0} - usual.distance_m * heading_of(wires);
  const Vec3 to{base.x_m - axis.x_m, base.y_m - axis.y_m, 0.0};
  const double distance = norm(to);
  const Vec3 u = distance > 1e-9 ? (1.0 / distance) * to : heading_of(wires), side{-u.y_m, u.x_m, 0.0};
  c.stands = {"the person who carries it", axis, h};
  const auto add = [&](const char* name, Vec3 off, double height) {
    c.places.push_back({name, axis + off + Vec3{0.0, 0.0, height}});
  };
  add("head", radius * u, 0.93 * h);
  add("eyes", -radius * u, 0.936 * h);
  add("chest", -radius * u, 0.72 * h);
  add("back", radius * u, std::clamp(base.z_m, 0.5 * h, wire::shoulder_share * h));
  const double hand_z =
      (wire::shoulder_share - std::sqrt(wire::arm_share * wire::arm_share - wire::hand_share * wire::hand_share)) * h;
  for (const int right : {0, 1}) {
    const wire::Wire* arm = wire_named(a, right ? "person's right arm" : "person's left arm");
    const char* name = right ? "right hand" : "left hand";
    if (!arm)
      add(name, ((right ? -wire::hand_share : wire::hand_share) * h) * side, hand_z);
    else if (!holds(a, *arm))
      c.places.push_back({name, arm->points.back()});
  }
  for (const int right : {0, 1})
    add(right ? "right foot" : "left foot", ((right ? wire::stride_share : -wire::stride_share) * h) * u, 0.05);
  return c;
}

double clearance_m(const wire::Antenna& antenna, Vec3 point) {
  double least = std::numeric_limits<double>::infinity();
  for (const wire::Wire& w : antenna.wires) {
    if (w.person) continue;
    for (std::size_t p = 0; p + 1 < w.points.size(); ++p)
      least = std::min(least, std::max(0.0, point_distance_m(point, w.points[p], w.points[p + 1]) - w.radius_m));
  }
  return least;
}

double body_distance_m(const wire::Antenna& antenna, const Bystander& person) {
  const Vec3 top = person.ground_m + Vec3{0.0, 0.0, person.stature_m};
  double least = std::numeric_limits<double>::infinity();
  for (const wire::Wire& w : antenna.wires) {
    if (w.person) continue;
    for (std::size_t p = 0; p + 1 < w.points.size(); ++p)
      least = std::min(least, piece_distance_m(person.ground_m, top, w.points[p], w.points[p + 1]));
  }
  return least;
}

std::vector<Bystander> bystanders_at(const wire::WireCase& wires, double distance_m) {
  constexpr int directions = 16;
  const Vec3 base = feed_point(wires.antenna);
  std::vector<Bystander> all;
  std::optional<Bystander> farthest;
  double most = -1.0;
  for (int n = 0; n < directions; ++n) {
    const double angle = two_pi * n / directions;
    const Bystander b{fmt::format("bystander at {:g} m", distance_m),
                      {base.x_m + distance_m * std::cos(angle), base.y_m + distance_m * std::sin(angle), 0.0},
                      usual_stature_m};
    const double clear = body_distance_m(wires.antenna, b);
    if (clear >= distance_m * (1.0 - 1e-9)) all.push_back(b);
    if (clear > most) {
      most = clear;
      farthest = b;
    }
  }
  if (all.empty() && farthest) all.push_back(*farthest);
  return all;
}

std::vector<WireEnd> free_ends(const wire::WireCase& wires) {
  const wire::Antenna& a = wires.antenna;
  std::vector<WireEnd> ends;
  for (std::size_t w = 0; w < a.wires.size(); ++w) {
    const wire::Wire& wire = a.wires[w];
    if (wire.person || wire.set || w == a.feed.wire) continue;
    const Vec3 end = wire.points.back(), last = end - wire.points[wire.points.size() - 2];
    if (!joins_another(a, w, end)) ends.push_back({w, end, (1.0 / norm(last)) * last});
  }
  return ends;
}

namespace {

struct EndBystander {
  Bystander there;
  bool crowded = false;  ///< another conductor is nearer
};

std::vector<EndBystander> beside_ends(const wire::WireCase& wires, double distance_m) {
  std::vector<EndBystander> all;
  for (const WireEnd& end : free_ends(wires)) {
    const double level = std::hypot(end.direction.x_m, end.direction.y_m);
    const Vec3 out = level > 1e-6 ? Vec3{end.direction.x_m / level, end.direction.y_m / level, 0.0} : heading_of(wires);
    const Vec3 at = end.at + distance_m * out;
    const Bystander there{
        fmt::format("{:g} m beyond the end of \"{}\"", distance_m, wires.antenna.wires[end.wire].name),
        {at.x_m, at.y_m, 0.0},
        usual_stature_m};
    all.push_back({there, body_distance_m(wires.antenna, there) < distance_m * (1.0 - 1e-6)});
  }
  return all;
}

}  // namespace

std::vector<Bystander> bystanders_at_ends(const wire::WireCase& wires, double distance_m) {
  std::vector<Bystander> all;
  for (EndBystander& b : beside_ends(wires, distance_m)) {
    if (!b.crowded) all.push_back(std::move(b.there));
  }
  return all;
}

std::vector<std::string> ends_without_bystander(const wire::WireCase& wires, double distance_m) {
  std::vector<std::string> all;
  for (const EndBystander& b : beside_ends(wires, distance_m)) {
    if (b.crowded) all.push_back(b.there.name + ": a conductor is nearer than that, nobody is put there");
  }
  return all;
}

wire::WireCase without_person(const wire::WireCase& wires) {
  wire::WireCase bare = wires;
  wire::Antenna& a = bare.antenna;
  constexpr auto gone = std::numeric_limits<std::size_t>::max();
  std::vector<std::size_t> place(a.wires.size(), gone);
  std::vector<wire::Wire> kept;
  for (std::size_t w = 0; w < a.wires.size(); ++w) {
    if (a.wires[w].person) continue;
    place[w] = kept.size();
    kept.push_back(a.wires[w]);
  }
  std::erase_if(a.lumps, [&](const wire::WireLump& l) { return place[l.wire] == gone; });
  std::erase_if(a.coils, [&](const wire::WireCoil& c) { return place[c.wire] == gone; });
  for (wire::WireLump& l : a.lumps) l.wire = place[l.wire];
  for (wire::WireCoil& c : a.coils) c.wire = place[c.wire];
  a.feed.wire = place[a.feed.wire];
  a.wires = std::move(kept);
  bare.hand.reset();
  return bare;
}

namespace {

/// What stood at the far end of a wire that has changed its length stands there still.
void keep_at_ends(const wire::Antenna& before, wire::Antenna& after) {
  const auto moved = [&](std::size_t wire, double end_m, double& distance_m) {
    const double was_m = wire_length_m(before.wires[wire]);
    if (std::abs(end_m - was_m) < 1e-9) distance_m += wire_length_m(after.wires[wire]) - was_m;
  };
  for (wire::WireLump& l : after.lumps) moved(l.wire, l.distance_m, l.distance_m);
  for (wire::WireCoil& c : after.coils) moved(c.wire, c.distance_m + 0.5 * c.length_m, c.distance_m);
}

/// The fed wire whole, the others by their end at the feed; a person stays.
wire::WireCase with_moved_feed(const wire::WireCase& wires, Vec3 by) {
  wire::WireCase moved = wires;
  const Vec3 base = feed_point(wires.antenna);
  for (std::size_t w = 0; w < moved.antenna.wires.size(); ++w) {
    wire::Wire& wire = moved.antenna.wires[w];
    for (Vec3& p : wire.points) {
      if (w == moved.antenna.feed.wire || (!wire.person && same_place(p, base))) p = p + by;
    }
  }
  keep_at_ends(wires.antenna, moved.antenna);
  return moved;
}

}  // namespace

wire::WireCase with_raised_feed(const wire::WireCase& wires, double up_m) {
  return with_moved_feed(wires, {0.0, 0.0, up_m});
}

wire::WireCase with_feed_set_back(const wire::WireCase& wires, double back_m) {
  const Vec3 stands = carrier_of(wires).stands.ground_m, feed = feed_point(wires.antenna);
  const Vec3 away{feed.x_m - stands.x_m, feed.y_m - stands.y_m, 0.0};
  return with_moved_feed(wires, (back_m / norm(away)) * away);
}

wire::WireCase with_other_person(const wire::WireCase& wires, double conductivity_factor, double stature_factor) {
  wire::WireCase other = wires;
  const Vec3 touches = wires.hand ? wires.antenna.wires[wires.antenna.lumps[*wires.hand].wire].points.back() : Vec3{};
  for (wire::Wire& w : other.antenna.wires) {
    if (!w.person) continue;
    if (w.conductivity_s_m) *w.conductivity_s_m *= conductivity_factor;
    for (Vec3& p : w.points) {
      if (!(wires.hand && same_place(p, touches))) p.z_m *= stature_factor;
    }
  }
  keep_at_ends(wires.antenna, other.antenna);
  return other;
}

}  // namespace stile::safety
