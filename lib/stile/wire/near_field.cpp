#include <stile/wire/near_field.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/detail/ground_model.hpp>
#include <stile/wire/detail/line_sums.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire {

using namespace detail;

namespace {

constexpr cdouble j{0.0, 1.0};
constexpr double farthest_m = 300.0;

/// Gives the nodes along a piece: few where it is far away in its own lengths.
using RuleFor = const std::vector<GaussPoint>& (*)(double distance_in_lengths);

/// Of lines: what is left out is below 1e-8.
const std::vector<GaussPoint>& line_rule(double distance_in_lengths) {
  static const std::vector<GaussPoint> three = gauss_rule(3), four = gauss_rule(4), eight = gauss_rule(8);
  return distance_in_lengths > 8.0 ? three : distance_in_lengths > 3.0 ? four : eight;
}

/// Of the smooth rest: what is left out is below 1e-6 of it, as in its table.
const std::vector<GaussPoint>& rest_rule(double distance_in_lengths) {
  static const std::vector<GaussPoint> two = gauss_rule(2), three = gauss_rule(3), four = gauss_rule(4),
                                       eight = gauss_rule(8);
  return distance_in_lengths > 16.0  ? two
         : distance_in_lengths > 5.0 ? three
         : distance_in_lengths > 2.5 ? four
                                     : eight;
}

/// A straight piece of wire, or its image.
struct Piece {
  Vec3 start, whole;
  double length_m;

  double distance_m(Vec3 at, double from, double to) const {
    return point_distance_m(at, start + from * whole, start + to * whole);
  }
};

/// Appends nodes along a part of a piece, weights adding up to that part: parts are halved until each is no longer than
/// its distance from the point, or than `radius_m`.
void add_nodes(LineNodes& nodes, RuleFor rule_for, Vec3 at, const Piece& piece, double radius_m, double distance_m,
               double from, double to) {
  const double part_m = (to - from) * piece.length_m;
  if (std::max(distance_m, radius_m) < part_m) {
    const double half = 0.5 * (from + to);
    add_nodes(nodes, rule_for, at, piece, radius_m, piece.distance_m(at, from, half), from, half);
    add_nodes(nodes, rule_for, at, piece, radius_m, piece.distance_m(at, half, to), half, to);
    return;
  }
  for (const GaussPoint& g : rule_for(distance_m / part_m)) {
    nodes.x.push_back(from + (to - from) * g.x);
    nodes.weight.push_back((to - from) * g.weight);
  }
}

/// A piece of wire as a point sees it: the square of the radius where the point is inside of the wire, else 0, and its
/// nodes.
struct Seen {
  Vec3 at;
  Piece piece;
  double distance_m, radius_m, inside2;

  Seen(Vec3 from, const Piece& seen, double wire_radius_m)
      : at(from), piece(seen), distance_m(piece.distance_m(at, 0.0, 1.0)),
        radius_m(distance_m < wire_radius_m ? wire_radius_m : 0.0), inside2(radius_m * radius_m) {}
  void take_nodes(RuleFor rule_for, LineNodes& nodes) const {
    nodes.x.clear();
    nodes.weight.clear();
    add_nodes(nodes, rule_for, at, piece, radius_m, distance_m, 0.0, 1.0);
  }
};

/// A cell's own line, or its image: `level` and `upright` are the factors of the parts of A, `scalar` of the charge.
ChargedLine charged_line(const CellCurrent& c, const Piece& piece, cdouble level, cdouble upright, cdouble scalar) {
  const cdouble start = c.length_m * c.start_a, rising = c.length_m * (c.end_a - c.start_a);
  return {piece.start,
          piece.whole,
          (1.0 / c.length_m) * (c.end - c.start),
          {level * start, level * rising},
          {upright * start, upright * rising},
          scalar * (c.start_a - c.end_a)};
}

/// A cell of the antenna.
struct Source {
  const CellCurrent* cell;
  Piece own, image;
  ChargedLine line, image_line;
};

/// What is the same for all points.
struct Sources {
  GroundModel ground;
  double k_rad_m;
  std::vector<Source> cells;
};

Sources sources_of(const AntennaSolution& solution, GroundTables& tables) {
  Sources all{make_ground_model(solution.ground, solution.frequency_hz, solution.method, tables),
              two_pi * solution.frequency_hz / speed_of_light_m_s,
              {}};
  const GroundModel& g = all.ground;
  for (const CellCurrent& c : solution.cells) {
    const Vec3 whole = c.end - c.start;
    const Piece own{c.start, whole, c.length_m},
        image{{c.start.x_m, c.start.y_m, -c.start.z_m}, {whole.x_m, whole.y_m, -whole.z_m}, c.length_m};
    all.cells.push_back({&c, own, image, charged_line(c, own, 1.0, 1.0, 1.0),
                         charged_line(c, image, g.image_xx, g.image_zz, g.image_phi)});
  }
  return all;
}

/// What a lossy ground adds to a cell beside the images, at the nodes of the image.
void add_rest(PotentialSums& sum, const GroundModel& ground, const CellCurrent& c, const LineNodes& nodes, Vec3 at) {
  const Vec3 whole = c.end - c.start, t = (1.0 / c.length_m) * whole;
  const cdouble charge = c.start_a - c.end_a;  // times length
  for (std::size_t n = 0; n < nodes.x.size(); ++n) {
    const double x = nodes.x[n], weight = nodes.weight[n];
    const Vec3 s = c.start + x * whole;
    const double dx = at.x_m - s.x_m, dy = at.y_m - s.y_m, rho = std::sqrt(dx * dx + dy * dy);
    const KernelSlopes k = ground.rest_slopes(rho, at.z_m + s.z_m);
    const double ux = rho > 0.0 ? dx / rho : 1.0, uy = rho > 0.0 ? dy / rho : 0.0, level = t.x_m * ux + t.y_m * uy;
    const cdouble i = (weight * c.length_m) * (c.start_a + x * (c.end_a - c.start_a)), q = weight * charge;
    const cdouble across = rho > 0.0 ? k.value.p / rho : k.by_rho.p;  // slope of p sideways
    sum.potential[0] += i * (t.x_m * k.value.xx - t.z_m * ux * k.value.p);
    sum.potential[1] += i * (t.y_m * k.value.xx - t.z_m * uy * k.value.p);
    sum.potential[2] += i * (t.z_m * k.value.zz + level * k.value.p);
    sum.slope[0] += q * ux * k.by_rho.phi;
    sum.slope[1] += q * uy * k.by_rho.phi;
    sum.slope[2] += q * k.by_z.phi;
    // p times the unit vector outwards has the slopes: by_rho.p along it, `across` sideways.
    const cdouble zx = t.z_m * ux * k.by_rho.zz + ux * level * k.by_rho.p + (t.x_m - ux * level) * across;
    const cdouble zy = t.z_m * uy * k.by_rho.zz + uy * level * k.by_rho.p + (t.y_m - uy * level) * across;
    sum.curl[0] += i * (zy - (t.y_m * k.by_z.xx - t.z_m * uy * k.by_z.p));
    sum.curl[1] += i * ((t.x_m * k.by_z.xx - t.z_m * ux * k.by_z.p) - zx);
    sum.curl[2] += i * ((t.y_m * ux - t.x_m * uy) * k.by_rho.xx);
  }
}

NearField field_at(const Sources& all, Vec3 at) {
  LineSums lines(all.k_rad_m);
  PotentialSums rest{};
  LineNodes nodes;
  for (const Source& c : all.cells) {
    const Seen own(at, c.own, c.cell->radius_m);
    own.take_nodes(line_rule, nodes);
    lines.add(nodes, at, own.inside2, c.line);
    if (!all.ground.present) continue;
    const Seen image(at, c.image, c.cell->radius_m);
    if (all.ground.has_rest()) {
      image.take_nodes(rest_rule, nodes);
      add_rest(rest, all.ground, *c.cell, nodes, at);
    }
    image.take_nodes(line_rule, nodes);
    lines.add(nodes, at, image.inside2, c.image_line);
  }
  const PotentialSums line = lines.total();
  const double w = all.k_rad_m * speed_of_light_m_s;
  const cdouble of_vector = -j * (w * mu0_h_m / (4.0 * pi)), of_scalar = j / (w * eps0_f_m * 4.0 * pi);
  constexpr double of_curl = 1.0 / (4.0 * pi);
  const auto e = [&](std::size_t n) {
    return of_vector * (line.potential[n] + rest.potential[n]) + of_scalar * (line.slope[n] + rest.slope[n]);
  };
  const auto h = [&](std::size_t n) { return of_curl * (line.curl[n] + rest.curl[n]); };
  return {e(0), e(1), e(2), h(0), h(1), h(2)};
}

void check_point(const AntennaSolution& s, Vec3 at) {
  require(is_finite(at), "a field point is not finite");
  require(s.ground.kind == GroundKind::free_space || at.z_m >= 0.0, "a field point lies below the ground");
  if (s.ground.kind != GroundKind::lossy) return;
  const bool near = std::any_of(s.cells.begin(), s.cells.end(), [&](const CellCurrent& c) {
    return point_distance_m(at, c.start, c.end) <= farthest_m;
  });
  require(near, "a field point is more than 300 m away from the antenna");
}

}  // namespace

double NearField::e_v_m() const { return std::sqrt(std::norm(ex_v_m) + std::norm(ey_v_m) + std::norm(ez_v_m)); }
double NearField::h_a_m() const { return std::sqrt(std::norm(hx_a_m) + std::norm(hy_a_m) + std::norm(hz_a_m)); }

std::vector<NearField> near_field(const AntennaSolution& solution, std::span<const Vec3> points, double power_w,
                                  std::shared_ptr<GroundTables> tables, unsigned threads) {
  require(std::isfinite(power_w) && power_w > 0.0, "power_w must be > 0");
  for (const Vec3& p : points) check_point(solution, p);
  std::vector<NearField> fields(points.size());
  if (points.empty()) return fields;
  if (!tables) tables = std::make_shared<GroundTables>();
  const Sources all = sources_of(solution, *tables);
  const double scale = std::sqrt(power_w * (1.0 - solution.leakage_share) / solution.antenna_ohm.real());
  in_blocks(points.size(), 16, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t i = first; i < last; ++i) {
      fields[i] = field_at(all, points[i]);
      NearField& f = fields[i];
      for (cdouble* c : {&f.ex_v_m, &f.ey_v_m, &f.ez_v_m, &f.hx_a_m, &f.hy_a_m, &f.hz_a_m}) *c *= scale;
    }
  });
  return fields;
}

}  // namespace stile::wire
