#include <stile/wire/geometry.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string_view>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire {

namespace detail {

double piece_distance_m(Vec3 a0, Vec3 a1, Vec3 b0, Vec3 b1) {
  const Vec3 u = a1 - a0, v = b1 - b0, w = a0 - b0;
  const double uu = dot(u, u), uv = dot(u, v), vv = dot(v, v), uw = dot(u, w), vw = dot(v, w);
  const double det = uu * vv - uv * uv;
  double s = det > 1e-12 * uu * vv ? std::clamp((uv * vw - vv * uw) / det, 0.0, 1.0) : 0.0;
  double t = std::clamp((uv * s + vw) / vv, 0.0, 1.0);
  s = std::clamp((uv * t - uw) / uu, 0.0, 1.0);
  double best = norm(w + s * u - t * v);
  const auto end = [&](Vec3 p, Vec3 q, Vec3 d) {  // an end against the other piece: parallel ones meet there
    const double f = std::clamp(dot(p - q, d) / dot(d, d), 0.0, 1.0);
    best = std::min(best, norm(p - q - f * d));
  };
  end(a0, b0, v);
  end(a1, b0, v);
  end(b0, a0, u);
  end(b1, a0, u);
  return best;
}

}  // namespace detail

namespace {

using namespace detail;

struct Piece {
  std::size_t wire;
  std::size_t number;  // within the wire
  Vec3 start, end;
  double radius_m;  // insulation included
};

double outer_radius_m(const Wire& w) { return w.radius_m + (w.insulation ? w.insulation->thickness_m : 0.0); }

std::vector<Piece> pieces_of(const std::vector<Wire>& wires) {
  std::vector<Piece> pieces;
  for (std::size_t w = 0; w < wires.size(); ++w) {
    for (std::size_t p = 1; p < wires[w].points.size(); ++p)
      pieces.push_back({w, p - 1, wires[w].points[p - 1], wires[w].points[p], outer_radius_m(wires[w])});
  }
  return pieces;
}

std::string label(const std::vector<Wire>& wires, std::size_t w) {
  return wires[w].name.empty() ? fmt::format("wire {}", w + 1) : fmt::format("wire \"{}\"", wires[w].name);
}

[[noreturn]] void refuse(const std::string& message) { throw DomainError(message); }

void check_wire(const std::vector<Wire>& wires, std::size_t index) {
  const Wire& w = wires[index];
  const std::string who = label(wires, index);
  if (w.points.size() < 2) refuse(fmt::format("{} has {} points, needs at least 2", who, w.points.size()));
  if (!(std::isfinite(w.radius_m) && w.radius_m > 0.0))
    refuse(fmt::format("{}: radius {:.4g} m must be > 0", who, w.radius_m));
  if (w.conductivity_s_m && !(std::isfinite(*w.conductivity_s_m) && *w.conductivity_s_m > 0.0))
    refuse(fmt::format("{}: conductivity {:.4g} S/m must be > 0", who, *w.conductivity_s_m));
  if (!(std::isfinite(w.relative_permeability) && w.relative_permeability >= 1.0))
    refuse(fmt::format("{}: relative permeability {:.4g} must be >= 1", who, w.relative_permeability));
  if (w.insulation) {
    const Insulation& c = *w.insulation;
    if (!(std::isfinite(c.thickness_m) && c.thickness_m > 0.0))
      refuse(fmt::format("{}: thickness of insulation {:.4g} m must be > 0", who, c.thickness_m));
    if (!(std::isfinite(c.relative_permittivity) && c.relative_permittivity >= 1.0))
      refuse(fmt::format("{}: permittivity of insulation {:.4g} must be >= 1", who, c.relative_permittivity));
  }
  for (std::size_t p = 0; p < w.points.size(); ++p) {
    if (!is_finite(w.points[p])) refuse(fmt::format("{}: point {} is not finite", who, p + 1));
    if (p == 0) continue;
    const double length = norm(w.points[p] - w.points[p - 1]);
    if (length <= joint_m) refuse(fmt::format("{}: points {} and {} are the same", who, p, p + 1));
    if (w.radius_m > (w.person ? 0.2 : 0.1) * length)
      refuse(fmt::format("{}: radius {:.4g} m is above a {} of the straight piece of {:.4g} m from point {}", who,
                         w.radius_m, w.person ? "fifth" : "tenth", length, p));
  }
}

void check_height(const std::vector<Wire>& wires, std::size_t index, const Ground& ground) {
  const Wire& w = wires[index];
  const std::string who = label(wires, index);
  if (ground.kind == GroundKind::free_space) return;
  const bool perfect = ground.kind == GroundKind::perfect;
  for (std::size_t p = 0; p < w.points.size(); ++p) {
    const double z = w.points[p].z_m;
    if (z < -joint_m) refuse(fmt::format("{}: point {} lies {:.4g} m below the ground", who, p + 1, -z));
    if (perfect) {
      const bool contact = z <= joint_m;
      if (contact && p != 0 && p + 1 != w.points.size())
        refuse(fmt::format("{}: point {} lies on the ground; only ends may", who, p + 1));
      if (contact) {
        const double up = w.points[p == 0 ? 1 : p - 1].z_m;
        if (up <= outer_radius_m(w)) refuse(fmt::format("{}: the piece at point {} lies on the ground", who, p + 1));
      } else if (z < outer_radius_m(w)) {
        refuse(fmt::format("{}: point {} is {:.4g} m above perfect ground, less than its radius", who, p + 1, z));
      }
    } else if (z < least_height_m(w) * (1.0 - 1e-12)) {
      refuse(fmt::format("{}: point {} is {:.4g} m above lossy ground, but no wire may come nearer than {:.4g} m "
                         "(5 radii, and outside its insulation)",
                         who, p + 1, z, least_height_m(w)));
    }
  }
}

bool share_end(const Piece& a, const Piece& b) {
  return same_place(a.start, b.start) || same_place(a.start, b.end) || same_place(a.end, b.start) ||
         same_place(a.end, b.end);
}

/// Two pieces from one node run into each other when the angle between them is so small that their surfaces meet again
/// half-way along the shorter one.
bool folded(const Piece& a, const Piece& b) {
  const bool a_at_start = same_place(a.start, b.start) || same_place(a.start, b.end);
  const Vec3 node = a_at_start ? a.start : a.end;
  const Vec3 u = (a_at_start ? a.end : a.start) - node;
  const Vec3 v = (same_place(b.start, node) ? b.end : b.start) - node;
  const double reach = 0.5 * std::min(norm(u), norm(v));
  return norm((reach / norm(u)) * u - (reach / norm(v)) * v) < a.radius_m + b.radius_m;
}

void check_crossings(const std::vector<Wire>& wires) {
  const std::vector<Piece> pieces = pieces_of(wires);
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    for (std::size_t j = i + 1; j < pieces.size(); ++j) {
      const Piece &a = pieces[i], &b = pieces[j];
      const bool hit =
          share_end(a, b) ? folded(a, b) : piece_distance_m(a.start, a.end, b.start, b.end) < a.radius_m + b.radius_m;
      if (hit)
        refuse(fmt::format("{} (piece {}) and {} (piece {}) cross or touch without joining: wires join only where "
                           "points of both coincide",
                           label(wires, a.wire), a.number + 1, label(wires, b.wire), b.number + 1));
    }
  }
}

/// Whether another wire has a point at this distance along a wire.
bool joins_at(const std::vector<Wire>& wires, std::size_t index, double distance_m) {
  double at = 0.0;
  const std::vector<Vec3>& own = wires[index].points;
  for (std::size_t p = 0; p < own.size(); ++p) {
    if (p > 0) at += norm(own[p] - own[p - 1]);
    if (std::abs(at - distance_m) > joint_m) continue;
    for (std::size_t w = 0; w < wires.size(); ++w) {
      for (const Vec3& other : wires[w].points) {
        if (w != index && same_place(own[p], other)) return true;
      }
    }
  }
  return false;
}

void check_coils(const Antenna& antenna) {
  struct Span {
    std::size_t wire;
    double low, high;
  };
  std::vector<Span> taken;
  for (std::size_t c = 0; c < antenna.coils.size(); ++c) {
    const WireCoil& coil = antenna.coils[c];
    const std::string who = fmt::format("coil {}", c + 1);
    if (coil.wire >= antenna.wires.size()) refuse(fmt::format("{} is on a wire that does not exist", who));
    if (!(std::isfinite(coil.inductance_h) && coil.inductance_h >= 0.0))
      refuse(fmt::format("{}: inductance {:.4g} H must be >= 0", who, coil.inductance_h));
    if (!(coil.q > 0.0)) refuse(fmt::format("{}: Q {:.4g} must be > 0", who, coil.q));
    if (!(std::isfinite(coil.self_capacitance_f) && coil.self_capacitance_f >= 0.0))
      refuse(fmt::format("{}: self-capacitance {:.4g} F must be >= 0", who, coil.self_capacitance_f));
    for (std::size_t n = 0; n < coil.values.size(); ++n) {
      const CoilValues& v = coil.values[n];
      const bool rises = v.frequency_hz > (n == 0 ? 0.0 : coil.values[n - 1].frequency_hz);
      if (coil.values.size() < 4 || !rises || !(v.inductance_h >= 0.0 && v.q > 0.0 && v.self_capacitance_f >= 0.0) ||
          !(std::isfinite(v.inductance_h) && std::isfinite(v.q) && std::isfinite(v.self_capacitance_f)))
        refuse(fmt::format("{}: values must be four or more at rising frequencies, finite, Q > 0", who));
    }
    if (!(std::isfinite(coil.length_m) && coil.length_m >= 0.0))
      refuse(fmt::format("{}: length {:.4g} m must be >= 0", who, coil.length_m));
    const Wire& w = antenna.wires[coil.wire];
    const double low = coil.distance_m - 0.5 * coil.length_m, high = coil.distance_m + 0.5 * coil.length_m;
    double at = 0.0;
    bool inside = false;
    for (std::size_t p = 1; p < w.points.size(); ++p) {
      const double next = at + norm(w.points[p] - w.points[p - 1]);
      inside = inside || (low >= at - joint_m && high <= next + joint_m);
      at = next;
    }
    if (!inside || !(coil.distance_m > joint_m && coil.distance_m < at - joint_m))
      refuse(fmt::format("{}: {:.4g} m to {:.4g} m along {} is not within one straight piece of it", who, low, high,
                         label(antenna.wires, coil.wire)));
    for (const Span& s : taken) {
      if (s.wire == coil.wire && low < s.high + joint_m && high > s.low - joint_m)
        refuse(fmt::format("{} overlaps another coil", who));
    }
    taken.push_back({coil.wire, low, high});
    if (coil.length_m == 0.0 && joins_at(antenna.wires, coil.wire, coil.distance_m))
      refuse(fmt::format("{} is a point where wires join; give it a length, or move it", who));
  }
}

void check_lumps(const Antenna& antenna, const Ground& ground) {
  for (std::size_t n = 0; n < antenna.lumps.size(); ++n) {
    const WireLump& lump = antenna.lumps[n];
    const std::string who = fmt::format("lump {}", n + 1);
    if (lump.wire >= antenna.wires.size()) refuse(fmt::format("{} is on a wire that does not exist", who));
    if (!(std::isfinite(lump.resistance_ohm) && lump.resistance_ohm >= 0.0))
      refuse(fmt::format("{}: resistance {:.4g} ohm must be >= 0", who, lump.resistance_ohm));
    if (!(std::isfinite(lump.inductance_h) && lump.inductance_h >= 0.0))
      refuse(fmt::format("{}: inductance {:.4g} H must be >= 0", who, lump.inductance_h));
    if (!(lump.capacitance_f > 0.0))
      refuse(fmt::format("{}: capacitance {:.4g} F must be > 0", who, lump.capacitance_f));
    if (!(lump.q > 0.0)) refuse(fmt::format("{}: Q {:.4g} must be > 0", who, lump.q));
    const Wire& w = antenna.wires[lump.wire];
    const double length_m = wire_length_m(w);
    if (!(lump.distance_m >= 0.0 && lump.distance_m <= length_m + joint_m))
      refuse(fmt::format("{}: {:.4g} m is off {}, which is {:.4g} m long", who, lump.distance_m,
                         label(antenna.wires, lump.wire), length_m));
    const bool at_start = lump.distance_m <= joint_m, at_end = lump.distance_m >= length_m - joint_m;
    const bool joined = joins_at(antenna.wires, lump.wire, lump.distance_m);
    const Vec3 first = w.points.front();
    const bool fed = same_place(first, antenna.wires[antenna.feed.wire].points.front());
    const double gap_m = antenna.feed.gap_m * (ground.kind == GroundKind::perfect && first.z_m <= joint_m ? 1.0 : 0.5);
    std::size_t meeting = 0;
    for (const Wire& other : antenna.wires)
      meeting += static_cast<std::size_t>(
          std::count_if(other.points.begin(), other.points.end(), [&](Vec3 p) { return same_place(p, first); }));
    if (fed && meeting > 2 && lump.wire != antenna.feed.wire && !at_start && lump.distance_m < gap_m - joint_m)
      refuse(fmt::format("{} lies within the feed gap of {}", who, label(antenna.wires, lump.wire)));
    if (at_start || at_end) {
      const bool grounded = ground.kind == GroundKind::perfect && (at_start ? first : w.points.back()).z_m <= joint_m;
      if (!joined && !grounded)
        refuse(fmt::format("{} is at a free end of {}, where no current flows", who, label(antenna.wires, lump.wire)));
    } else if (joined) {
      refuse(fmt::format("{} is a point where wires join; put it on the wire that ends there, or move it", who));
    }
    for (std::size_t m = 0; m < n; ++m) {
      if (antenna.lumps[m].wire == lump.wire && std::abs(antenna.lumps[m].distance_m - lump.distance_m) <= joint_m)
        refuse(fmt::format("{} is at the same place as lump {}", who, m + 1));
    }
    for (const WireCoil& c : antenna.coils) {
      if (c.wire == lump.wire && std::abs(c.distance_m - lump.distance_m) <= 0.5 * c.length_m + joint_m)
        refuse(fmt::format("{} is inside a coil", who));
    }
  }
}

void check_feed(const Antenna& antenna, const Ground& ground) {
  const Feed& feed = antenna.feed;
  if (feed.wire >= antenna.wires.size()) refuse("the feed is on a wire that does not exist");
  if (!(std::isfinite(feed.gap_m) && feed.gap_m > 0.0))
    refuse(fmt::format("feed gap {:.4g} m must be > 0", feed.gap_m));
  if (!(std::isfinite(feed.base_capacitance_f) && feed.base_capacitance_f >= 0.0))
    refuse(fmt::format("base capacitance {:.4g} F must be >= 0", feed.base_capacitance_f));
  if (!(feed.base_leakage_ohm > 0.0))
    refuse(fmt::format("leakage of the base, {:.4g} ohm, must be > 0", feed.base_leakage_ohm));
  const Vec3 at = antenna.wires[feed.wire].points.front();
  const bool on_ground = ground.kind == GroundKind::perfect && at.z_m <= joint_m;
  const double share_m = on_ground ? feed.gap_m : 0.5 * feed.gap_m;
  std::size_t others = 0;
  const Wire* thickest = &antenna.wires[feed.wire];
  for (const Piece& p : pieces_of(antenna.wires)) {
    const bool starts = same_place(p.start, at), ends = same_place(p.end, at);
    if (!starts && !ends) continue;
    const Wire& wire = antenna.wires[p.wire];
    if (!wire.person && wire.radius_m > thickest->radius_m) thickest = &wire;
    if (!(p.wire == feed.wire && p.number == 0)) ++others;
    if (share_m > norm(p.end - p.start) - joint_m)
      refuse(fmt::format("the feed gap of {:.4g} m does not fit on {}", feed.gap_m, label(antenna.wires, p.wire)));
    if (p.wire != feed.wire || p.number != 0) continue;
    for (const WireCoil& c : antenna.coils) {
      if (c.wire == p.wire && c.distance_m - 0.5 * c.length_m < share_m - joint_m)
        refuse("a coil reaches into the feed gap");
    }
  }
  // Where two conductors meet at an angle, thin-wire cells shorter than their radius have no meaning: the impedance
  // runs through poles as the gap shrinks.
  if (share_m < thickest->radius_m * (1.0 - 1e-12))
    refuse(fmt::format(
        "the feed gap of {:.4g} m puts {:.4g} m on each conductor; legal: at least the radius of {:.4g} m, that is, a "
        "gap of {:.4g} m or more",
        feed.gap_m, share_m, thickest->radius_m, (on_ground ? 1.0 : 2.0) * thickest->radius_m));
  if (on_ground && others > 0) refuse("wires meet at a feed on perfect ground: lift them or join them above");
  if (!on_ground && others == 0)
    refuse(
        fmt::format("{} starts at the feed, but nothing else does: a counterpoise must start there, or the feed must "
                    "lie on perfect ground",
                    label(antenna.wires, feed.wire)));
}

}  // namespace

double least_height_m(const Wire& wire) {
  return wire.person ? 0.0 : std::max(5.0 * wire.radius_m, outer_radius_m(wire));
}

double wire_length_m(const Wire& wire) {
  double length = 0.0;
  for (std::size_t p = 1; p < wire.points.size(); ++p) length += norm(wire.points[p] - wire.points[p - 1]);
  return length;
}

void check_antenna(const Antenna& antenna, const Ground& ground) {
  if (antenna.wires.empty()) refuse("there is no wire");
  for (std::size_t w = 0; w < antenna.wires.size(); ++w) {
    check_wire(antenna.wires, w);
    check_height(antenna.wires, w, ground);
  }
  check_crossings(antenna.wires);
  check_coils(antenna);
  check_feed(antenna, ground);
  check_lumps(antenna, ground);
}

std::vector<std::string> thin_wire_cautions(const Antenna& antenna, double frequency_hz) {
  require(std::isfinite(frequency_hz) && frequency_hz > 0.0, "frequency_hz must be > 0");
  std::vector<std::string> cautions;
  const double wavelength_m = speed_of_light_m_s / frequency_hz;
  for (std::size_t w = 0; w < antenna.wires.size(); ++w) {
    const Wire& wire = antenna.wires[w];
    if (wire.person) continue;
    if (wire.radius_m > 0.01 * wavelength_m)
      cautions.push_back(fmt::format("{}: radius {:.4g} m is above a hundredth of the wavelength",
                                     label(antenna.wires, w), wire.radius_m));
    if (wire_length_m(wire) > 10.0 * wavelength_m)
      cautions.push_back(fmt::format("{} is longer than 10 wavelengths", label(antenna.wires, w)));
  }
  const std::vector<Piece> pieces = pieces_of(antenna.wires);
  for (const Piece& p : pieces) {
    const double length = norm(p.end - p.start);
    if (!antenna.wires[p.wire].person && length < 15.0 * antenna.wires[p.wire].radius_m)
      cautions.push_back(fmt::format("{}: a straight piece of {:.4g} m is shorter than 15 radii",
                                     label(antenna.wires, p.wire), length));
  }
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    for (std::size_t j = i + 1; j < pieces.size(); ++j) {
      const Piece &a = pieces[i], &b = pieces[j];
      if (share_end(a, b) || antenna.wires[a.wire].person || antenna.wires[b.wire].person) continue;
      const double gap = piece_distance_m(a.start, a.end, b.start, b.end);
      if (gap < 4.0 * std::max(a.radius_m, b.radius_m))
        cautions.push_back(fmt::format("{} and {} come within {:.4g} m, less than 4 radii",
                                       label(antenna.wires, a.wire), label(antenna.wires, b.wire), gap));
    }
  }
  return cautions;
}

}  // namespace stile::wire
