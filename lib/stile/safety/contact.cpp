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
#include <stile/wire/lump_port.hpp>
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

/// Through a hand of this impedance, A rms, with this power into antenna and hand. `y` as HandAtBase::siemens.
double touched_a_rms(const network::AdmittanceMatrix& y, const CoilPlace& place, double hand_ohm, double power_w) {
  // For 1 V at the terminals. What the hand takes comes from the coil's place and not from the whip's foot, so that the
  // antenna has I1 - I2, and from the foot to the hand are v2 = V_place - hand_ohm I2 - 1.
  const cdouble series_ohm = hand_ohm + place.antenna_ohm - place.hand_ohm;
  const cdouble v2 = (place.ratio - 1.0 + place.antenna_ohm * y.y11 - series_ohm * y.y21) /
                     (1.0 - place.antenna_ohm * y.y12 + series_ohm * y.y22);
  const cdouble hand_a = y.y21 + y.y22 * v2, antenna_a = y.y11 + y.y12 * v2 - hand_a,
                place_v = place.ratio + place.antenna_ohm * antenna_a + place.hand_ohm * hand_a;
  const double for_1v_w = (antenna_a + std::conj(place_v) * hand_a).real();
  return std::abs(hand_a) * std::sqrt(power_w / for_1v_w);
}

Contact touched_at(const std::string& where, Vec3 at, const network::AdmittanceMatrix& y, const CoilPlace& place,
                   double hand_ohm, double power_w) {
  const auto a_rms = [&](double ohm) { return touched_a_rms(y, place, ohm, power_w); };
  return {where, at, open_ohm * a_rms(open_ohm), a_rms(0.0), a_rms(hand_ohm)};
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
  std::optional<std::size_t> foot;  // of them, with nothing between it and the terminals
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
  constexpr double foot_m = 0.1;
  double low_m = foot_m;
  for (const wire::WireCoil& c : antenna.coils) {
    if (c.wire != antenna.feed.wire) continue;
    const double from_m = c.distance_m - 0.5 * c.length_m - hand_m, to_m = c.distance_m + 0.5 * c.length_m + hand_m;
    if (low_m > from_m && low_m < to_m) low_m = to_m;
  }
  on_whip(fmt::format("\"{}\", {:.0f} cm from the feed", whip, 100.0 * low_m), low_m);
  if (low_m == foot_m && !touched.empty()) foot = 0;
  for (const wire::WireCoil& c : antenna.coils) {
    if (c.wire != antenna.feed.wire) continue;
    const double along_m = c.distance_m + 0.5 * c.length_m + hand_m;
    if (std::abs(along_m - low_m) > 1e-9) on_whip(fmt::format("\"{}\", beyond its coil", whip), along_m);
  }
  for (const WireEnd& end : free_ends(one.wires))
    touched.push_back({fmt::format("the end of \"{}\"", antenna.wires[end.wire].name), one.wires, end.at});

  for (std::size_t n = 0; n < touched.size(); ++n) {
    const Touched& t = touched[n];
    if (t.at.z_m > reach_m) {
      all.left_out.push_back(fmt::format("{}: at {:.2g} m, out of reach", t.where, t.at.z_m));
      continue;
    }
    const detail::Toucher who = detail::with_toucher(t.wires, t.at);
    try {
      const network::AdmittanceMatrix y =
          wire::lump_port(who.wires.antenna, who.contact, who.wires.ground, one.solution.frequency_hz, options.solve);
      all.places.push_back(touched_at(t.where, t.at, y, {}, hand_ohm, one.power_w));
      if (n == foot) all.hand_at_base = HandAtBase{t.at, y};
    } catch (const DomainError& error) {  // a body that cannot stand there
      all.left_out.push_back(t.where + ": " + error.what());
    }
  }
  return all;
}

Contacts with_coil_places(Contacts contacts, std::span<const CoilPlace> places) {
  for (const CoilPlace& place : places) {
    if (contacts.hand_at_base) {
      contacts.places.push_back(touched_at(place.where, contacts.hand_at_base->at, contacts.hand_at_base->siemens,
                                           place, contacts.hand_ohm, contacts.power_w));
    } else {
      contacts.left_out.push_back(place.where + ": no hand can be at the foot of the whip");
    }
  }
  return contacts;
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

double hf_gap_jumped_m(double v_peak, double pressure_pa) { return gap_jumped_m(v_peak / coil::hf_share, pressure_pa); }

}  // namespace stile::safety
