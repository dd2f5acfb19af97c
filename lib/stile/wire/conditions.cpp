#include <stile/wire/conditions.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire {

using namespace detail;

namespace {

struct NamedWhipCondition {
  WhipCondition condition;
  const char* name;
};
constexpr std::array<NamedWhipCondition, 10> names{
    {{WhipCondition::lifted, "wire lifted"},
     {WhipCondition::trailing_dry, "wire trailing on very dry ground"},
     {WhipCondition::trailing_usual, "wire trailing on the usual ground"},
     {WhipCondition::lying_wet, "wire lying on wet ground"},
     {WhipCondition::on_water, "wire on fresh water"},
     {WhipCondition::leaning, "whip leaning"},
     {WhipCondition::torn_off, "counterpoise torn off"},
     {WhipCondition::operator_near, "operator near"},
     {WhipCondition::with_set, "with set, lead and person"},
     {WhipCondition::hand_on_set, "hand on the set"}}};

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::array<NamedContact, 5> contacts{{{"open", {infinity, infinity}},
                                                {"60 pF", {300.0, 60e-12}},
                                                {"0 ohm", {0.0, infinity}},
                                                {"300 ohm", {300.0, infinity}},
                                                {"1000 ohm", {1000.0, infinity}}}};

constexpr double fold_m = 0.1;  // between the way out and the way back
constexpr double hank_length_m = 0.12, hank_radius_m = 0.003;

Vec3 turned(double along, double across, double z, double angle) {
  const double c = std::cos(angle), s = std::sin(angle);
  return {along * c - across * s, along * s + across * c, z};
}

/// The way of a wire in its own direction: x along, y across, from (0, 0, base) on.
std::vector<Vec3> way_of(const TrailingWire& t, double base_m, double aside_m) {
  const double back = t.doubled_back_m > 0.0 ? t.doubled_back_m + fold_m : 0.0;
  const double out = t.length_m - t.coiled_m - back;
  const double drop = base_m - t.lying_height_m;
  if (!(t.drop_distance_m > 0.0))
    throw DomainError(fmt::format("wire \"{}\": drop_distance {:.4g} m must be > 0", t.name, t.drop_distance_m));
  if (!(t.length_m > 0.0 && t.doubled_back_m >= 0.0 && t.coiled_m >= 0.0 && out > t.doubled_back_m))
    throw DomainError(
        fmt::format("wire \"{}\": {:.4g} m doubled back and {:.4g} m coiled leave {:.4g} m of its {:.4g} m for the way "
                    "out, which must be longer than the way back",
                    t.name, t.doubled_back_m, t.coiled_m, out, t.length_m));
  std::vector<Vec3> way{{0.0, 0.0, base_m}};
  if (drop == 0.0 && aside_m == 0.0) {
    way.push_back({out, 0.0, base_m});
  } else {
    const double slope_m = std::hypot(t.drop_distance_m, drop, aside_m);
    const double part = std::min(out / slope_m, 1.0);
    way.push_back({part * t.drop_distance_m, part * aside_m, part < 1.0 ? base_m - part * drop : t.lying_height_m});
    // A last piece shorter than ten radii would only upset the thin-wire model.
    if (out > slope_m * (1.0 + 1e-6))
      way.push_back({t.drop_distance_m + std::max(out - slope_m, 20.0 * t.radius_m), aside_m, t.lying_height_m});
  }
  if (t.doubled_back_m == 0.0) return way;
  const Vec3 aside{0.0, fold_m, 0.0};
  double left = t.doubled_back_m;
  const std::size_t turn = way.size() - 1;
  way.push_back(way[turn] + aside);
  for (std::size_t p = turn; p > 0 && left > 0.0; --p) {
    const double piece = norm(way[p] - way[p - 1]), part = std::min(1.0, left / piece);
    const Vec3 end = way[p] + part * (way[p - 1] - way[p]) + aside;
    if (norm(end - way.back()) > 20.0 * t.radius_m) way.push_back(end);
    left -= piece;
  }
  return way;
}

std::string metres(double length_m) { return fmt::format("{:.4g} m", length_m); }

void add_wire(Antenna& antenna, Wire wire) {
  for (const Wire& other : antenna.wires) {
    if (other.name == wire.name)
      throw DomainError(
          fmt::format("the name \"{}\" is taken by a wire of the set or the person; call yours otherwise", wire.name));
  }
  antenna.wires.push_back(std::move(wire));
}

/// @return  where a hand takes it
Vec3 add_set(Antenna& antenna, const SetBody& set, const PersonBody& person, double heading) {
  const Vec3 base = antenna.wires[antenna.feed.wire].points.front();
  if (!(set.frame_length_m > 0.0 && set.frame_length_m < base.z_m))
    throw DomainError(fmt::format("the frame's length of {:.4g} m must be > 0 and below the base's height of {:.4g} m",
                                  set.frame_length_m, base.z_m));
  if (!(set.lead_length_m == 0.0 || set.lead_length_m > 20.0 * set.lead_radius_m))
    throw DomainError(fmt::format("the lead's length of {:.4g} m must be 0 or more than 20 of its radii of {:.4g} m",
                                  set.lead_length_m, set.lead_radius_m));
  const double z = base.z_m - set.frame_length_m;
  const auto at = [&](double along, double across, double height) {
    const Vec3 p = turned(along, across, 0.0, heading);
    return Vec3{base.x_m + p.x_m, base.y_m + p.y_m, height};
  };
  const Vec3 foot = at(0.0, 0.0, z);
  add_wire(antenna, {"frame", {base, foot}, set.frame_radius_m, 3.5e7, 1.0, {}, false, true});
  if (set.lead_length_m == 0.0) return foot;
  if (!set.worn_in_front) {  // sideways, so that it stays clear of the person and the trailing wire
    add_wire(antenna, {"lead", {foot, at(0.0, set.lead_length_m, z)}, set.lead_radius_m, 5.8e7, 1.0, {}, false, true});
    return foot;
  }
  constexpr double clear_m = 0.1, box_m = 0.2, box_radius_m = 0.012;
  const double side = person.radius_m + clear_m, x = -person.distance_m;
  const std::array<Vec3, 4> way{at(0.0, 0.0, z), at(x, side, z), at(x - side, 0.0, z), at(x - side, 0.0, z + 100.0)};
  std::vector<Vec3> points{way[0]};
  double left = set.lead_length_m;
  for (std::size_t p = 1; p < way.size() && left > 20.0 * set.lead_radius_m; ++p) {
    const double piece = norm(way[p] - way[p - 1]);
    points.push_back(way[p - 1] + std::min(1.0, left / piece) * (way[p] - way[p - 1]));
    left -= piece;
  }
  const Vec3 end = points.back(), top{end.x_m, end.y_m, end.z_m + box_m};
  add_wire(antenna, {"lead", std::move(points), set.lead_radius_m, 5.8e7, 1.0, {}, false, true});
  add_wire(antenna, {"set", {end, top}, box_radius_m, 3.5e7, 1.0, {}, false, true});
  return top;
}

/// Where a hand is on the set, and through what.
struct Touch {
  Vec3 at;
  HandContact contact;
};

/// @return  index of the lump of the contact
std::optional<std::size_t> add_person(Antenna& antenna, const PersonBody& p, const std::optional<Touch>& touch,
                                      double heading) {
  const Vec3 base = antenna.wires[antenna.feed.wire].points.front();
  const double h = p.stature_m, x = -p.distance_m;
  require(std::isfinite(h) && h > 0.0 && p.radius_m > 0.0 && p.distance_m > 0.0 && p.conductivity_s_m > 0.0,
          "stature, radius, distance and conductivity of a person must be > 0");
  const auto at = [&](double along, double across, double z) {
    const Vec3 q = turned(along, across, 0.0, heading);
    return Vec3{base.x_m + q.x_m, base.y_m + q.y_m, z};
  };
  const auto add = [&](const char* name, std::vector<Vec3> points, double thickness) {
    add_wire(antenna, {name, std::move(points), thickness * p.radius_m, p.conductivity_s_m, 1.0, {}, true});
    return antenna.wires.size() - 1;
  };
  const Vec3 hip = at(x, 0.0, 0.47 * h), shoulder = at(x, 0.0, shoulder_share * h);
  add("person's trunk", {hip, shoulder}, 1.0);
  add("person's head", {shoulder, at(x, 0.0, h)}, 0.5);
  constexpr std::array<std::array<const char*, 2>, 2> legs{
      {{"person's left leg", "person's left sole"}, {"person's right leg", "person's right sole"}}};
  for (const int side : {0, 1}) {
    const double foot = x + (side == 0 ? -stride_share : stride_share) * h;
    const std::size_t leg = add(legs[static_cast<std::size_t>(side)][0], {hip, at(foot, 0.0, 0.0)}, 0.6);
    // Across the stride, so that it stays clear of the slanting leg; a strip of 0.09 m has a quarter of it as radius.
    add(legs[static_cast<std::size_t>(side)][1], {at(foot, 0.13, 0.0), at(foot, 0.0, 0.0), at(foot, -0.13, 0.0)},
        0.0225 / p.radius_m);
    antenna.lumps.push_back({leg, wire_length_m(antenna.wires[leg]), 0.0, 0.0, p.foot_capacitance_f});
  }
  const double arm = arm_share * h, out = hand_share * h;
  const double hand_z = shoulder_share * h - std::sqrt(arm * arm - out * out);
  add("person's left arm", {shoulder, at(x, out, hand_z)}, 0.35);
  if (!touch) {
    add("person's right arm", {shoulder, at(x, -out, hand_z)}, 0.35);
    return {};
  }
  const Vec3 hand = touch->at;
  const double reach = norm(hand - shoulder);
  constexpr double farthest = 1.05;  // of the arm: fingers and the shoulder give that much
  if (reach > farthest * arm)
    throw DomainError(
        fmt::format("the hand cannot reach the set: it is {:.4g} m from the shoulder; legal: up to {:.4g} m, "
                    "5 % more than the arm of a person of {:.4g} m",
                    reach, farthest * arm, h));
  std::vector<Vec3> points{shoulder, hand};
  if (reach < arm * (1.0 - 1e-3)) {  // the elbow points to the right
    const Vec3 middle = 0.5 * (shoulder + hand), right = turned(0.0, -1.0, 0.0, heading);
    points.insert(points.begin() + 1, middle + (0.5 * std::sqrt(arm * arm - reach * reach)) * right);
  }
  const std::size_t right_arm = add("person's right arm", std::move(points), 0.35);
  Wire& wire = antenna.wires[right_arm];
  const double length_m = wire_length_m(wire), stated_ohm = touch->contact.resistance_ohm;
  require(stated_ohm >= 0.0, "the resistance of a hand's contact must be >= 0");
  const bool open = std::isinf(stated_ohm);
  if (stated_ohm == 0.0)
    wire.conductivity_s_m.reset();
  else if (!open)
    wire.conductivity_s_m = length_m / (stated_ohm * pi * wire.radius_m * wire.radius_m);
  constexpr double open_ohm = 1e12;
  antenna.lumps.push_back({right_arm, length_m, open ? open_ohm : 0.0, 0.0, touch->contact.capacitance_f});
  return antenna.lumps.size() - 1;
}

/// Whether a condition lays the wires on the ground, raised ones too.
bool lays(WhipCondition c) {
  return c == WhipCondition::trailing_dry || c == WhipCondition::trailing_usual || c == WhipCondition::lying_wet ||
         c == WhipCondition::on_water;
}

}  // namespace

std::span<const NamedContact> hand_contacts() { return contacts; }

std::vector<NamedPerson> person_corners(const PersonBody& person) {
  std::vector<NamedPerson> corners;
  for (const double sign : {-1.0, 1.0}) {
    PersonBody p = person;
    p.conductivity_s_m *= 1.0 + sign * person_spread.conductivity;
    corners.push_back({fmt::format("person's conductivity {:+.4g} %", 100.0 * sign * person_spread.conductivity), p});
  }
  for (const double sign : {-1.0, 1.0}) {
    PersonBody p = person;
    p.stature_m += sign * person_spread.stature_m;
    corners.push_back({fmt::format("person's height {:+.4g} m", sign * person_spread.stature_m), p});
  }
  return corners;
}

void leave_out(WhipSet& whip, const std::string& wire) {
  const auto gone =
      std::find_if(whip.wires.begin(), whip.wires.end(), [&](const TrailingWire& t) { return t.name == wire; });
  if (gone == whip.wires.end()) throw DomainError(fmt::format("no trailing wire is called \"{}\"", wire));
  std::erase_if(whip.lumps, [&](const NamedLump& lump) { return lump.on == wire; });
  whip.wires.erase(gone);
}

std::string coiled_end(const std::string& wire) { return wire + ", coiled end"; }

std::vector<Wire> trailing_wires(const std::vector<TrailingWire>& trailing, Vec3 base, double spacing_m) {
  require(spacing_m > 0.0, "spacing_m must be > 0");
  std::vector<Wire> wires, hanks;
  for (const TrailingWire& t : trailing) {
    const auto beside = [&](const TrailingWire& o) { return std::abs(o.direction_rad - t.direction_rad) <= 1e-9; };
    double width = 0.0, place = 0.0;  // of the bundle, and of this wire in it
    bool first = true;
    for (const TrailingWire& o : trailing) {
      if (!beside(o)) continue;
      if (!first) width += spacing_m;
      first = false;
      if (&o == &t) place = width;
      if (o.doubled_back_m > 0.0) width += fold_m;
    }
    Wire wire{t.name, t.drawn, t.radius_m, t.conductivity_s_m, 1.0, t.insulation};
    if (t.drawn.empty()) {
      for (const Vec3& p : way_of(t, base.z_m, place - 0.5 * width)) {
        const Vec3 q = turned(p.x_m, p.y_m, p.z_m, t.direction_rad);
        wire.points.push_back({base.x_m + q.x_m, base.y_m + q.y_m, q.z_m});
      }
    }
    if (t.coiled_m > 0.0) {
      const Vec3 end = wire.points.back(), last = end - wire.points[wire.points.size() - 2];
      hanks.push_back({coiled_end(t.name),
                       {end, end + (hank_length_m / norm(last)) * last},
                       std::max(t.radius_m, std::min(hank_radius_m, 0.2 * end.z_m)),
                       t.conductivity_s_m,
                       1.0,
                       {}});
    }
    wires.push_back(std::move(wire));
  }
  wires.insert(wires.end(), hanks.begin(), hanks.end());
  return wires;
}

std::vector<std::string> set_wires(const SetBody& set) {
  if (set.lead_length_m == 0.0) return {"frame"};
  if (!set.worn_in_front) return {"frame", "lead"};
  return {"frame", "lead", "set"};
}

std::optional<std::size_t> add_bodies(Antenna& antenna, const Ground& ground, const Carried& carried,
                                      const std::vector<NamedLump>& lumps, double heading_rad) {
  const std::optional<PersonBody>& person = carried.person;
  std::optional<Vec3> grip;
  if (carried.set) grip = add_set(antenna, *carried.set, person.value_or(PersonBody{}), heading_rad);
  for (const NamedLump& lump : lumps) {
    const auto on = std::find_if(antenna.wires.begin(), antenna.wires.end(),
                                 [&](const Wire& wire) { return wire.name == lump.on; });
    if (on == antenna.wires.end())
      throw DomainError(fmt::format("lump {}: no wire is called \"{}\"", antenna.lumps.size() + 1, lump.on));
    antenna.lumps.push_back(lump.part);
    antenna.lumps.back().wire = static_cast<std::size_t>(on - antenna.wires.begin());
  }
  if (!person) return {};
  require(ground.kind == GroundKind::lossy, "a person needs a lossy ground to stand on");
  std::optional<Touch> touch;
  if (carried.contact) {
    require(grip.has_value(), "a hand on the set needs a set");
    touch = Touch{*grip, *carried.contact};
  }
  return add_person(antenna, *person, touch, heading_rad);
}

WireCase whip_condition(const WhipSet& given, WhipCondition condition) {
  WhipSet w = given;
  require(w.ground.kind == GroundKind::lossy, "conditions need a lossy ground");
  require(w.lean_rad >= 0.0 && w.lean_rad < 1.4, "lean_rad must be 0..1.4");
  require(w.wires.size() <= 5, "a whip trails 0 to 5 wires");
  const auto* named =
      std::find_if(names.begin(), names.end(), [&](const NamedWhipCondition& n) { return n.condition == condition; });
  require(named != names.end(), "no such condition");
  WireCase c{named->name, {}, w.ground};
  c.carried = w.set && w.person;

  const double heading = w.wires.empty() ? 0.0 : w.wires.front().direction_rad;
  for (TrailingWire& t : w.wires) {
    if (condition == WhipCondition::lifted) {
      t.drawn.clear();
      t.lying_height_m = w.base_height_m;
      c.changes.push_back(fmt::format("wire \"{}\" is level at {}", t.name, metres(w.base_height_m)));
    } else if (lays(condition)) {
      const double before = t.lying_height_m;
      if (condition == WhipCondition::on_water)
        t.lying_height_m = least_height_m({t.name, {}, t.radius_m, {}, 1.0, t.insulation});
      if (t.raised || before != t.lying_height_m) {
        t.drawn.clear();
        c.changes.push_back(fmt::format("wire \"{}\" lies at {}", t.name, metres(t.lying_height_m)));
      }
      t.raised = false;
    } else if (t.raised && t.drawn.empty()) {
      t.lying_height_m = w.base_height_m;
    }
  }
  if (condition == WhipCondition::torn_off) {
    std::vector<std::string> torn = w.torn;
    if (torn.empty())
      for (const TrailingWire& t : w.wires) torn.push_back(t.name);
    for (const std::string& name : torn) {
      leave_out(w, name);
      c.changes.push_back(fmt::format("wire \"{}\" is torn off", name));
    }
  }

  const double lean = condition == WhipCondition::leaning ? w.lean_rad : 0.0;
  if (lean > 0.0) c.changes.push_back(fmt::format("the whip leans by {:.4g} degrees", lean * 180.0 / pi));
  const double aside_m = w.whip_length_m * std::sin(lean);
  const Vec3 over = w.person ? turned(0.0, aside_m, 0.0, heading) : turned(-aside_m, 0.0, 0.0, heading);
  c.antenna.wires.push_back(
      {w.whip_name,
       {{0.0, 0.0, w.base_height_m}, {over.x_m, over.y_m, w.base_height_m + w.whip_length_m * std::cos(lean)}},
       w.whip_radius_m,
       w.whip_conductivity_s_m,
       1.0,
       {}});
  c.antenna.coils = w.coils;
  c.antenna.feed = {0, w.gap_m, w.base_capacitance_f, w.base_leakage_ohm};
  for (Wire& wire : trailing_wires(w.wires, {0.0, 0.0, w.base_height_m}, w.spacing_m))
    c.antenna.wires.push_back(std::move(wire));
  const Vec3 top = c.antenna.wires.front().points.back();
  for (Wire& spoke : w.hat) {
    for (Vec3& p : spoke.points) p = top + leaning(p, std::atan2(over.y_m, over.x_m), lean);
    c.antenna.wires.push_back(std::move(spoke));
  }
  const bool hand = condition == WhipCondition::hand_on_set, both = hand || condition == WhipCondition::with_set;
  if (!w.set && (both || (condition == WhipCondition::torn_off && w.wires.empty()))) {
    w.set = SetBody{};
    w.set->worn_in_front = both;
    c.changes.push_back(both ? "a set of the usual size is worn in front"
                             : "frame and lead of the usual size are the counterpoise");
  }
  if (!w.person && (both || condition == WhipCondition::operator_near)) {
    w.person = PersonBody{};
    c.changes.push_back("a person of the usual size stands beside");
  }
  c.hand = add_bodies(c.antenna, c.ground, {w.set, w.person, hand ? std::optional(w.contact) : std::nullopt}, w.lumps,
                      heading);
  if (hand) {
    c.changes.push_back(std::isinf(w.contact.resistance_ohm)
                            ? "the right hand is at the set without touching it"
                            : fmt::format("the right hand is on the set through {:.4g} ohm{}, the arm inside",
                                          w.contact.resistance_ohm,
                                          std::isinf(w.contact.capacitance_f)
                                              ? std::string{}
                                              : fmt::format(", {:.4g} pF", 1e12 * w.contact.capacitance_f)));
  }
  check_antenna(c.antenna, c.ground);
  if (condition == WhipCondition::trailing_dry) put_on_ground(c, ground_by_name("very dry"));
  if (condition == WhipCondition::lying_wet) put_on_ground(c, ground_by_name("wet"));
  if (condition == WhipCondition::on_water) put_on_ground(c, ground_by_name("fresh water"));
  return c;
}

std::vector<WireCase> whip_conditions(const WhipSet& whip) {
  std::vector<WireCase> cases;
  for (const NamedWhipCondition& n : names) cases.push_back(whip_condition(whip, n.condition));
  return cases;
}

}  // namespace stile::wire
