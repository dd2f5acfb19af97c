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
#include <stile/safety/detail/toucher.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::safety {

using namespace wire::detail;
using wire::Vec3;

namespace {

constexpr double reach_m = 2.1, open_ohm = 1e8;

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
    const detail::Toucher who = detail::with_toucher(t.wires, t.at);
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

double air_pressure_pa(double altitude_m) {
  if (!(altitude_m >= -500.0 && altitude_m <= 11000.0))
    throw DomainError(fmt::format("an altitude of {:.6g} m must be -500..11000", altitude_m));
  // Temperature falls by 6.5 K/km from 288.15 K; exponent g M/(R L).
  return 101325.0 * std::pow(1.0 - 0.0065 * altitude_m / 288.15, 5.25588);
}

namespace {

constexpr double normal_pa = 101325.0, per_length_v = 24360.0, per_root_v = 6720.0;  // per cm at normal density

}  // namespace

double gap_breakdown_v_peak(double gap_m, double pressure_pa) {
  if (!(gap_m >= 1e-4 && gap_m <= 0.1)) throw DomainError(fmt::format("a gap of {:.4g} m must be 1e-4..0.1", gap_m));
  require(std::isfinite(pressure_pa) && pressure_pa > 0.0, "pressure_pa must be > 0");
  const double x = 100.0 * gap_m * pressure_pa / normal_pa;
  return per_length_v * x + per_root_v * std::sqrt(x);
}

double gap_jumped_m(double v_peak, double pressure_pa) {
  require(std::isfinite(v_peak) && v_peak >= 0.0, "v_peak must be >= 0");
  require(std::isfinite(pressure_pa) && pressure_pa > 0.0, "pressure_pa must be > 0");
  if (v_peak < least_breakdown_v_peak) return 0.0;
  const double root =
      (-per_root_v + std::sqrt(per_root_v * per_root_v + 4.0 * per_length_v * v_peak)) / (2.0 * per_length_v);
  return 0.01 * root * root * normal_pa / pressure_pa;
}

double hf_gap_jumped_m(double v_peak, double pressure_pa) { return gap_jumped_m(v_peak / 0.8, pressure_pa); }

}  // namespace stile::safety
