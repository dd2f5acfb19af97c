#include <stile/wire/conditions.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <stile/base/errors.hpp>

namespace stile {

namespace {

struct NamedWhipCondition {
  WhipCondition condition;
  const char* name;
};
constexpr std::array<NamedWhipCondition, 9> names{{{WhipCondition::lifted, "wire lifted"},
                                                   {WhipCondition::trailing_dry, "wire trailing on very dry ground"},
                                                   {WhipCondition::trailing_usual, "wire trailing on the usual ground"},
                                                   {WhipCondition::lying_wet, "wire lying on wet ground"},
                                                   {WhipCondition::on_water, "wire on fresh water"},
                                                   {WhipCondition::leaning, "whip leaning"},
                                                   {WhipCondition::torn_off, "counterpoise torn off"},
                                                   {WhipCondition::operator_near, "operator near"},
                                                   {WhipCondition::with_set, "with set, lead and person"}}};

Wire trailing_wire(const WhipSet& w, double lying_height_m) {
  Wire wire{"counterpoise",   {{0.0, 0.0, w.base_height_m}}, w.wire_radius_m, w.wire_conductivity_s_m, 1.0,
            w.wire_insulation};
  const double drop = w.base_height_m - lying_height_m;
  require(w.drop_distance_m > 0.0 && drop >= 0.0, "the wire must fall from the base, over a distance > 0");
  const double slope_m = std::hypot(w.drop_distance_m, drop);
  if (w.wire_length_m <= slope_m) {
    const double part = w.wire_length_m / slope_m;
    wire.points.push_back({part * w.drop_distance_m, 0.0, w.base_height_m - part * drop});
  } else {
    wire.points.push_back({w.drop_distance_m, 0.0, lying_height_m});
    wire.points.push_back({w.drop_distance_m + w.wire_length_m - slope_m, 0.0, lying_height_m});
  }
  return wire;
}

Wire lifted_wire(const WhipSet& w) {
  return {"counterpoise",
          {{0.0, 0.0, w.base_height_m}, {w.wire_length_m, 0.0, w.base_height_m}},
          w.wire_radius_m,
          w.wire_conductivity_s_m,
          1.0,
          w.wire_insulation};
}

void add_set(Antenna& antenna, const WhipSet& w) {
  const double foot = w.base_height_m - w.set.frame_length_m;
  antenna.wires.push_back(
      {"frame", {{0.0, 0.0, w.base_height_m}, {0.0, 0.0, foot}}, w.set.frame_radius_m, 3.5e7, 1.0, {}});
  if (w.set.lead_length_m > 0.0)  // sideways, so that it stays clear of the person and the trailing wire
    antenna.wires.push_back(
        {"lead", {{0.0, 0.0, foot}, {0.0, w.set.lead_length_m, foot}}, w.set.lead_radius_m, 5.8e7, 1.0, {}});
}

void add_person(Antenna& antenna, const WhipSet& w) {
  const double x = -w.person.distance_m;
  antenna.wires.push_back({"person",
                           {{x, 0.0, 5.0 * w.person.radius_m}, {x, 0.0, w.person.top_m}},
                           w.person.radius_m,
                           w.person.conductivity_s_m,
                           1.0,
                           {}});
}

}  // namespace

ConditionCase whip_condition(const WhipSet& w, WhipCondition condition) {
  require(w.ground.kind == GroundKind::lossy, "conditions need a lossy ground");
  require(w.lean_rad >= 0.0 && w.lean_rad < 1.4, "lean_rad must be 0..1.4");
  const auto* named =
      std::find_if(names.begin(), names.end(), [&](const NamedWhipCondition& n) { return n.condition == condition; });
  require(named != names.end(), "no such condition");
  ConditionCase c{condition, named->name, {}, w.ground};
  if (condition == WhipCondition::trailing_dry) c.ground = ground_by_name("very dry");
  if (condition == WhipCondition::lying_wet) c.ground = ground_by_name("wet");
  if (condition == WhipCondition::on_water) c.ground = ground_by_name("fresh water");

  const double lean = condition == WhipCondition::leaning ? w.lean_rad : 0.0;
  c.antenna.wires.push_back(
      {"whip",
       {{0.0, 0.0, w.base_height_m},
        {-w.whip_length_m * std::sin(lean), 0.0, w.base_height_m + w.whip_length_m * std::cos(lean)}},
       w.whip_radius_m,
       w.whip_conductivity_s_m,
       1.0,
       {}});
  c.antenna.coils = w.coils;
  c.antenna.feed = {0, w.gap_m, w.base_capacitance_f};

  if (condition == WhipCondition::lifted)
    c.antenna.wires.push_back(lifted_wire(w));
  else if (condition != WhipCondition::torn_off) {
    Wire bare = lifted_wire(w);
    c.antenna.wires.push_back(
        trailing_wire(w, condition == WhipCondition::on_water ? least_height_m(bare) : w.lying_height_m));
  }
  if (condition == WhipCondition::torn_off || condition == WhipCondition::with_set) add_set(c.antenna, w);
  if (condition == WhipCondition::operator_near || condition == WhipCondition::with_set) add_person(c.antenna, w);
  check_antenna(c.antenna, c.ground);
  return c;
}

std::vector<ConditionCase> whip_conditions(const WhipSet& whip) {
  std::vector<ConditionCase> cases;
  for (const NamedWhipCondition& n : names) cases.push_back(whip_condition(whip, n.condition));
  return cases;
}

}  // namespace stile
