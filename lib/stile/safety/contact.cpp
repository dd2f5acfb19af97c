#include <stile/safety/contact.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/one_port.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::safety {

using namespace wire::detail;
using wire::Vec3;

namespace {

constexpr double reach_m = 2.1, aside_m = 0.5, open_ohm = 1e8;

/// Where the fed wire is `along_m` from the feed, on a point of its own that is put in where there is none.
std::optional<Vec3> point_on_feed_wire(wire::WireCase& wires, double along_m) {
  wire::Wire& wire = wires.antenna.wires[wires.antenna.feed.wire];
  double before_m = 0.0;
  for (std::size_t p = 0; p + 1 < wire.points.size(); ++p) {
    const Vec3 piece = wire.points[p + 1] - wire.points[p];
    const double length_m = norm(piece), in_m = along_m - before_m, least_m = 15.0 * wire.radius_m;
    if (in_m <= length_m) {
      if (in_m < least_m || length_m - in_m < least_m) return {};
      const Vec3 at = wire.points[p] + (in_m / length_m) * piece;
      wire.points.insert(wire.points.begin() + static_cast<std::ptrdiff_t>(p) + 1, at);
      return at;
    }
    before_m += length_m;
  }
  return {};
}

/// The person who touches: wires and soles of his own, and the lump of the contact.
struct Toucher {
  wire::WireCase wires;
  std::size_t contact = 0;
};

Toucher with_toucher(const wire::WireCase& wires, Vec3 at) {
  const wire::PersonBody usual;
  const double shoulder_m = at.z_m < 0.8 ? 0.7 : 1.4;
  // In the direction that keeps clearest of everything else.
  double most = -1.0;
  Vec3 ground{};
  for (int n = 0; n < 16; ++n) {
    const double angle = two_pi * n / 16;
    const Vec3 foot{at.x_m + aside_m * std::cos(angle), at.y_m + aside_m * std::sin(angle), 0.0};
    const Vec3 shoulder = foot + Vec3{0.0, 0.0, shoulder_m}, wrist = at + 0.3 * (shoulder - at);
    double clear = HUGE_VAL;
    for (const wire::Wire& w : wires.antenna.wires) {
      for (std::size_t p = 0; p + 1 < w.points.size(); ++p) {
        clear = std::min(clear, piece_distance_m(foot, shoulder, w.points[p], w.points[p + 1]) - w.radius_m);
        clear = std::min(clear, piece_distance_m(wrist, shoulder, w.points[p], w.points[p + 1]) - w.radius_m);
      }
    }
    if (clear > most) {
      most = clear;
      ground = foot;
    }
  }
  const Vec3 shoulder = ground + Vec3{0.0, 0.0, shoulder_m},
             out = (1.0 / aside_m) * (ground - Vec3{at.x_m, at.y_m, 0.0});
  const Vec3 across = 0.13 * Vec3{-out.y_m, out.x_m, 0.0};
  Toucher t{wires, 0};
  wire::Antenna& a = t.wires.antenna;
  const auto add = [&](const char* name, std::vector<Vec3> points, double radius_m) {
    a.wires.push_back({name, std::move(points), radius_m, usual.conductivity_s_m, 1.0, {}, true});
    return a.wires.size() - 1;
  };
  const std::size_t arm = add("arm that touches", {at, shoulder}, 0.35 * usual.radius_m);
  const std::size_t body = add("body that touches", {shoulder, ground}, 0.6 * usual.radius_m);  // both legs as one
  add("soles of who touches", {ground + across, ground, ground - across}, 0.0225);
  a.lumps.push_back({body, shoulder_m, 0.0, 0.0, 2.0 * usual.foot_capacitance_f});
  a.lumps.push_back({arm, 0.0});
  t.contact = a.lumps.size() - 1;
  return t;
}

}  // namespace

Contacts contacts(const ExposureCase& one, double hand_ohm, const ExposureOptions& given) {
  require(std::isfinite(hand_ohm) && hand_ohm >= 0.0, "hand_ohm must be >= 0");
  require(std::isfinite(one.power_w) && one.power_w > 0.0, "power_w must be > 0");
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  Contacts all;
  all.condition = one.wires.name;
  all.frequency_hz = one.solution.frequency_hz;
  all.power_w = one.power_w;
  all.terminal_v_peak = network::load_voltage_v_peak(one.solution.feed_ohm, one.power_w);
  all.hand_ohm = hand_ohm;
  if (one.wires.ground.kind != wire::GroundKind::lossy) {
    all.left_out.push_back("contact needs a lossy ground for somebody to stand on");
    return all;
  }
  struct Touched {
    std::string where;
    wire::WireCase wires;
    Vec3 at;
  };
  std::vector<Touched> touched;
  const wire::Antenna& antenna = one.wires.antenna;
  const std::string& whip = antenna.wires[antenna.feed.wire].name;
  const auto on_whip = [&](const std::string& where, double along_m) {
    Touched t{where, one.wires, {}};
    if (const auto at = point_on_feed_wire(t.wires, along_m)) {
      t.at = *at;
      touched.push_back(std::move(t));
    } else {
      all.left_out.push_back(where + ": no room there for a hand");
    }
  };
  constexpr double hand_m = 0.05;
  double low_m = 0.1;
  for (const wire::WireCoil& c : antenna.coils) {
    if (c.wire != antenna.feed.wire) continue;
    const double from_m = c.distance_m - 0.5 * c.length_m - hand_m, to_m = c.distance_m + 0.5 * c.length_m + hand_m;
    if (low_m > from_m && low_m < to_m) low_m = to_m;
  }
  on_whip(fmt::format("\"{}\", {:.0f} cm from the feed", whip, 100.0 * low_m), low_m);
  for (const wire::WireCoil& c : antenna.coils) {
    if (c.wire != antenna.feed.wire) continue;
    const double along_m = c.distance_m + 0.5 * c.length_m + hand_m;
    if (std::abs(along_m - low_m) > 1e-9) on_whip(fmt::format("\"{}\", beyond its coil", whip), along_m);
  }
  for (const WireEnd& end : free_ends(one.wires))
    touched.push_back({fmt::format("the end of \"{}\"", antenna.wires[end.wire].name), one.wires, end.at});

  for (const Touched& t : touched) {
    if (t.at.z_m > reach_m) {
      all.left_out.push_back(fmt::format("{}: at {:.2g} m, out of reach", t.where, t.at.z_m));
      continue;
    }
    const Toucher who = with_toucher(t.wires, t.at);
    try {
      const std::array<double, 3> ohm{open_ohm, 0.0, hand_ohm};
      const std::vector<double> a = wire::lump_currents_a_rms(who.wires.antenna, who.contact, ohm, who.wires.ground,
                                                              one.solution.frequency_hz, one.power_w, options.solve);
      all.places.push_back({t.where, t.at, open_ohm * a[0], a[1], a[2]});
    } catch (const DomainError& error) {  // a body that cannot stand there
      all.left_out.push_back(t.where + ": " + error.what());
    }
  }
  return all;
}

Contacts at_power(Contacts contacts, double to_w) {
  require(contacts.power_w > 0.0 && std::isfinite(to_w) && to_w > 0.0, "both powers must be > 0");
  const double by_root = std::sqrt(to_w / contacts.power_w);
  contacts.power_w = to_w;
  contacts.terminal_v_peak *= by_root;
  for (Contact& k : contacts.places) {
    k.open_v_rms *= by_root;
    k.short_a_rms *= by_root;
    k.contact_a_rms *= by_root;
  }
  return contacts;
}

std::vector<BodyRow> contact_rows(const Contacts& contacts, const ExposureOptions& options) {
  static const std::array<std::string, 3> quantities{"contact", "touch contact", "grasp contact"};
  std::vector<BodyRow> rows;
  BodyRow place;
  place.condition = contacts.condition;
  place.frequency_hz = contacts.frequency_hz;
  place.power_w = contacts.power_w;
  for (const Contact& k : contacts.places) {
    place.where = k.where;
    place.open_v_rms = k.open_v_rms;
    for (BodyRow& row : current_rows(place, k.contact_a_rms, options, quantities)) rows.push_back(std::move(row));
  }
  return rows;
}

double highest_v_peak(const Contacts& contacts) {
  double highest = contacts.terminal_v_peak;
  for (const Contact& k : contacts.places) highest = std::max(highest, std::numbers::sqrt2 * k.open_v_rms);
  return highest;
}

double gap_jumped_m(double v_peak, double pressure_pa) {
  constexpr double temperature_c = 20.0;
  return coil::spark_gap_m(v_peak, coil::relative_air_density(pressure_pa, temperature_c));
}

double hf_gap_jumped_m(double v_peak, double pressure_pa) { return gap_jumped_m(v_peak / 0.8, pressure_pa); }

}  // namespace stile::safety
