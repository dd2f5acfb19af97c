#include <stile/tuner/reach.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/waves.hpp>

namespace stile::tuner {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

// A setting's region: |p(Z)| <= rho |q(Z)| with p and q linear in Z, that is f(Z) = a |Z|^2 + 2 Re(b* Z) + c <= 0. The
// edge is where p = rho q w with |w| = 1, so Z is a quotient of two forms linear in w.
struct Region {
  cdouble p1, p0, q1, q0;  // p(Z) = p1 Z + p0
  double rho = 0.0, a = 0.0, c = 0.0;
  cdouble b;
  double root = 0.0;  // sqrt(|b|^2 - a c), free of cancellation; a times the radius

  double value(cdouble z) const { return std::norm(p1 * z + p0) - rho * rho * std::norm(q1 * z + q0); }
  double scale(cdouble z) const { return std::norm(p1 * z + p0) + rho * rho * std::norm(q1 * z + q0); }
  // Inside by more than rounding: a point of an edge is not inside its own region, nor inside one that touches there.
  bool well_inside(cdouble z) const { return value(z) < -1e-11 * scale(z); }
  bool contains(cdouble z) const { return value(z) <= 1e-11 * scale(z); }
  cdouble numerator(cdouble w) const { return rho * w * q0 - p0; }
  cdouble denominator(cdouble w) const { return p1 - rho * w * q1; }
  cdouble edge(double angle) const {
    const cdouble w = std::polar(1.0, angle);
    return numerator(w) / denominator(w);
  }
};

std::vector<Region> regions(std::span<const network::Ladder> settings, const network::Source& source,
                            double frequency_hz, double swr_limit) {
  require(!settings.empty(), "a reach needs at least one setting");
  require(network::finite(source.z_ohm) && source.z_ohm.real() > 0.0,
          "the source's impedance must be finite with real part > 0");
  if (!(swr_limit > 1.0 && std::isfinite(swr_limit)))
    throw DomainError(fmt::format("the SWR limit must be > 1 and finite, not {:.4g}", swr_limit));
  std::vector<Region> all;
  for (const network::Ladder& ladder : settings) {
    network::Chain whole;
    for (const network::Element& element : ladder.elements)
      whole = network::cascade(whole, network::chain(element, frequency_hz));
    const cdouble zs = source.z_ohm;
    Region r;
    r.rho = network::reflection_abs_from_swr(swr_limit);
    r.p1 = whole.a - std::conj(zs) * whole.c, r.p0 = whole.b - std::conj(zs) * whole.d;
    r.q1 = whole.a + zs * whole.c, r.q0 = whole.b + zs * whole.d;
    const double rho2 = r.rho * r.rho;
    r.a = std::norm(r.p1) - rho2 * std::norm(r.q1);
    r.b = std::conj(r.p1) * r.p0 - rho2 * std::conj(r.q1) * r.q0;
    r.c = std::norm(r.p0) - rho2 * std::norm(r.q0);
    const cdouble cross = r.p1 * r.q0 - r.p0 * r.q1;  // 2 Re(zs) times the determinant of the chain
    require(std::isfinite(std::abs(cross)) && std::abs(cross) > 0.0, "nothing passes through a setting");
    r.root = r.rho * std::abs(cross);
    all.push_back(r);
  }
  return all;
}

void check_load(cdouble load_ohm) {
  if (!(network::finite(load_ohm) && load_ohm.real() >= 0.0))
    throw DomainError(fmt::format("a load must be finite with real part >= 0, not {:.4g}{:+.4g}j ohm", load_ohm.real(),
                                  load_ohm.imag()));
}

bool covered(const std::vector<Region>& all, cdouble z) {
  return std::any_of(all.begin(), all.end(), [&](const Region& r) { return r.contains(z); });
}

// Angles at which k + 2 Re(m* w) = 0 on |w| = 1: none or two.
void add_angles(double k, cdouble m, std::vector<double>& angles) {
  const double reach = 2.0 * std::abs(m);
  if (!(std::abs(k) <= reach) || reach == 0.0) return;
  const double half = std::acos(std::clamp(-k / reach, -1.0, 1.0));
  angles.push_back(std::arg(m) + half);
  angles.push_back(std::arg(m) - half);
}

// A form x |num|^2 + 2 Re(y* num den*) + z |den|^2 with num = n0 + n1 w and den = d0 + d1 w, on |w| = 1.
void add_crossings(const Region& r, double x, cdouble y, double z, std::vector<double>& angles) {
  const cdouble n0 = -r.p0, n1 = r.rho * r.q0, d0 = r.p1, d1 = -r.rho * r.q1;
  const double k = x * (std::norm(n0) + std::norm(n1)) + z * (std::norm(d0) + std::norm(d1)) +
                   2.0 * (std::conj(y) * (n0 * std::conj(d0) + n1 * std::conj(d1))).real();
  // coefficient of w: 2 Re(m* w) collects every term with w and its conjugate
  const cdouble m_conj =
      x * n1 * std::conj(n0) + z * d1 * std::conj(d0) + std::conj(y) * n1 * std::conj(d0) + y * std::conj(n0) * d1;
  add_angles(k, std::conj(m_conj), angles);
}

// Where the edge of one region meets the others and R = 0: sorted angles, 0 .. two_pi.
std::vector<double> breaks(const std::vector<Region>& all, std::size_t own) {
  std::vector<double> angles;
  for (std::size_t n = 0; n < all.size(); ++n)
    if (n != own) add_crossings(all[own], all[n].a, all[n].b, all[n].c, angles);
  add_crossings(all[own], 0.0, 1.0, 0.0, angles);
  for (double& angle : angles) {
    angle = std::fmod(angle, two_pi);
    if (angle < 0.0) angle += two_pi;
  }
  std::sort(angles.begin(), angles.end());
  return angles;
}

// Part of the whole region's edge: R >= 0 to rounding and within no other setting's region.
bool on_edge(const std::vector<Region>& all, std::size_t own, cdouble z) {
  if (!network::finite(z) || z.real() < -1e-12 * std::abs(z)) return false;
  for (std::size_t n = 0; n < all.size(); ++n)
    if (n != own && all[n].well_inside(z)) return false;
  return true;
}

cdouble passive(cdouble z) { return {std::max(0.0, z.real()), z.imag()}; }

struct Nearest {
  double distance = infinity;
  cdouble z{};
};

// The point of the whole edge nearest to a load: a circle's own nearest point, or an end of a piece.
Nearest nearest_edge(const std::vector<Region>& all, cdouble load) {
  Nearest best;
  const auto offer = [&](std::size_t own, cdouble z) {
    if (!on_edge(all, own, z)) return;
    z = passive(z);
    const double distance = std::abs(z - load);
    if (distance < best.distance) best = {distance, z};
  };
  for (std::size_t n = 0; n < all.size(); ++n) {
    const Region& r = all[n];
    // |f| / (|grad| / 2 + root) is ||Z - centre| - radius| without the difference of two large numbers.
    const double f = r.value(load);
    const cdouble slope = r.a * load + r.b;
    if (std::abs(slope) > 0.0) {
      const double distance = std::abs(f) / (std::abs(slope) + r.root);
      offer(n, load - std::copysign(distance, f) * slope / std::abs(slope));
    } else {
      offer(n, load + r.root / std::abs(r.a));  // the centre: every point of the circle is as near ...
      offer(n, load - r.root / std::abs(r.a));  // ... save those that are no edge
    }
    for (const double angle : breaks(all, n)) offer(n, r.edge(angle));
  }
  return best;
}

// Points of a piece of a circle between two angles, the first left out.
void add_piece(const Region& r, double from, double to, double reference_ohm, double tolerance, int depth,
               ReachEdge& points) {
  const auto gamma = [&](double angle) {
    const cdouble w = std::polar(1.0, angle), n = r.numerator(w), d = r.denominator(w) * reference_ohm;
    return (n - d) / (n + d);
  };
  const double middle = 0.5 * (from + to);
  const cdouble a = gamma(from), b = gamma(to), m = gamma(middle);
  if (depth < 24 && (to - from > 0.8 || std::abs(m - 0.5 * (a + b)) > 0.5 * tolerance)) {
    add_piece(r, from, middle, reference_ohm, tolerance, depth + 1, points);
    add_piece(r, middle, to, reference_ohm, tolerance, depth + 1, points);
    return;
  }
  const cdouble z = r.edge(to);
  if (network::finite(z)) points.push_back(passive(z));
}

// Where regions begin or end on the way from + t way, 0 and 1 included, in order: f(from + t way) = a2 t^2 + 2 a1 t +
// a0.
std::vector<double> cuts_of(const std::vector<Region>& all, cdouble from, cdouble way) {
  std::vector<double> cuts{0.0, 1.0};
  for (const Region& r : all) {
    const double a2 = r.a * std::norm(way), a0 = r.value(from);
    const double a1 = (std::conj(r.a * from + r.b) * way).real(), under = a1 * a1 - a2 * a0;
    if (under < 0.0) continue;
    const double q = -(a1 + std::copysign(std::sqrt(under), a1));  // one root is q / a2, the other a0 / q
    for (const double t : {a2 != 0.0 ? q / a2 : infinity, q != 0.0 ? a0 / q : infinity})
      if (t > 0.0 && t < 1.0) cuts.push_back(t);
  }
  std::sort(cuts.begin(), cuts.end());
  return cuts;
}

}  // namespace

Reach reach(std::span<const network::Ladder> settings, const network::Source& source, double frequency_hz,
            double swr_limit, cdouble load_ohm) {
  check_load(load_ohm);
  const std::vector<Region> all = regions(settings, source, frequency_hz, swr_limit);
  const Nearest nearest = nearest_edge(all, load_ohm);
  const cdouble z = std::isfinite(nearest.distance) ? nearest.z : load_ohm;
  if (covered(all, load_ohm)) return {true, nearest.distance, z, 0.0, load_ohm};
  return {false, 0.0, load_ohm, nearest.distance, z};
}

std::vector<ReachEdge> trace_reach(std::span<const network::Ladder> settings, const network::Source& source,
                                   double frequency_hz, double swr_limit, double reference_ohm, double tolerance) {
  const std::vector<Region> all = regions(settings, source, frequency_hz, swr_limit);
  if (!(reference_ohm > 0.0 && std::isfinite(reference_ohm)))
    throw DomainError(fmt::format("the reference must be > 0 and finite, not {:.4g} ohm", reference_ohm));
  if (!(tolerance > 0.0)) throw DomainError(fmt::format("the tolerance must be > 0, not {:.4g}", tolerance));
  std::vector<ReachEdge> edges;
  for (std::size_t n = 0; n < all.size(); ++n) {
    std::vector<double> angles = breaks(all, n);
    if (angles.empty()) angles.push_back(0.0);
    angles.push_back(angles.front() + two_pi);
    for (std::size_t k = 0; k + 1 < angles.size(); ++k) {
      if (!(angles[k + 1] - angles[k] > 1e-12) || !on_edge(all, n, all[n].edge(0.5 * (angles[k] + angles[k + 1]))))
        continue;
      ReachEdge points;
      const cdouble first = all[n].edge(angles[k]);
      if (network::finite(first)) points.push_back(passive(first));
      add_piece(all[n], angles[k], angles[k + 1], reference_ohm, tolerance, 0, points);
      edges.push_back(std::move(points));
    }
  }
  return edges;
}

double share_within_reach(std::span<const network::Ladder> settings, const network::Source& source, double frequency_hz,
                          double swr_limit, std::span<const cdouble> loads_ohm) {
  require(!loads_ohm.empty(), "a share needs at least one load");
  for (const cdouble load : loads_ohm) check_load(load);
  const std::vector<Region> all = regions(settings, source, frequency_hz, swr_limit);
  double length = 0.0, within = 0.0;
  for (std::size_t i = 0; i < loads_ohm.size(); ++i)
    for (std::size_t j = i + 1; j < loads_ohm.size(); ++j) {
      const cdouble from = loads_ohm[i], way = loads_ohm[j] - from;
      if (way == 0.0) continue;
      const std::vector<double> cuts = cuts_of(all, from, way);
      length += std::abs(way);
      for (std::size_t k = 0; k + 1 < cuts.size(); ++k)
        if (covered(all, from + 0.5 * (cuts[k] + cuts[k + 1]) * way)) within += (cuts[k + 1] - cuts[k]) * std::abs(way);
    }
  if (length == 0.0) return covered(all, loads_ohm.front()) ? 1.0 : 0.0;
  return std::min(1.0, within / length);
}

std::optional<double> way_until_out(std::span<const network::Ladder> settings, const network::Source& source,
                                    double frequency_hz, double swr_limit, cdouble from_ohm, cdouble to_ohm) {
  check_load(from_ohm), check_load(to_ohm);
  const std::vector<Region> all = regions(settings, source, frequency_hz, swr_limit);
  const cdouble way = to_ohm - from_ohm;
  if (!covered(all, from_ohm)) return 0.0;
  if (way == 0.0) return std::nullopt;
  const std::vector<double> cuts = cuts_of(all, from_ohm, way);
  for (std::size_t k = 0; k + 1 < cuts.size(); ++k)
    if (!covered(all, from_ohm + 0.5 * (cuts[k] + cuts[k + 1]) * way)) return cuts[k];
  return std::nullopt;
}

}  // namespace stile::tuner
