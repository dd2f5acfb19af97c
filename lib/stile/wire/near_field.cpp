#include <stile/wire/near_field.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

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

struct Vector {
  cdouble x, y, z;
};

/// What the fields are made of, without mu0/4pi and 1/(4 pi eps0 j w).
struct Sums {
  Vector potential;  // A
  Vector slope;      // of the scalar potential, A/m^2
  Vector curl;       // of A
};

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

/// Appends nodes along 0..1 of a line, weights adding up to 1: pieces are halved until each is no longer than its
/// distance from the point, or than `radius_m`.
void add_nodes(LineNodes& nodes, RuleFor rule_for, Vec3 at, Vec3 start, Vec3 whole, double length_m, double radius_m,
               double from, double to) {
  const double piece_m = (to - from) * length_m;
  const double distance_m = point_distance_m(at, start + from * whole, start + to * whole);
  if (std::max(distance_m, radius_m) < piece_m) {
    const double half = 0.5 * (from + to);
    add_nodes(nodes, rule_for, at, start, whole, length_m, radius_m, from, half);
    add_nodes(nodes, rule_for, at, start, whole, length_m, radius_m, half, to);
    return;
  }
  for (const GaussPoint& g : rule_for(distance_m / piece_m)) {
    nodes.x.push_back(from + (to - from) * g.x);
    nodes.weight.push_back((to - from) * g.weight);
  }
}

/// A line as a point sees it: its nodes, and the square of the radius where the point is inside of the wire, else 0.
struct Seen {
  Vec3 start, whole;
  double inside2 = 0.0;
  LineNodes nodes;

  void look(RuleFor rule_for, Vec3 at, Vec3 from, Vec3 along, double length_m, double radius_m) {
    start = from;
    whole = along;
    inside2 = point_distance_m(at, start, start + whole) < radius_m ? radius_m * radius_m : 0.0;
    nodes.x.clear();
    nodes.weight.clear();
    add_nodes(nodes, rule_for, at, start, whole, length_m, inside2 > 0.0 ? radius_m : 0.0, 0.0, 1.0);
  }
};

/// What is the same for all points.
struct Sources {
  const AntennaSolution& solution;
  GroundModel ground;
  double k_rad_m;
};

/// A cell's own line, or its image: `horizontal` and `vertical` are the factors of the parts of A, `scalar` of the
/// charge.
void add_line(Sums& sum, const Sources& all, const CellCurrent& c, Seen& line, Vec3 at, cdouble horizontal,
              cdouble vertical, cdouble scalar) {
  const Vec3 along_cell = (1.0 / c.length_m) * (c.end - c.start);
  const Vector direction{horizontal * along_cell.x_m, horizontal * along_cell.y_m, vertical * along_cell.z_m};
  const cdouble charge = scalar * (c.start_a - c.end_a);  // times length
  const LineSums s = line_sums(line.nodes, at - line.start, line.whole, line.inside2, all.k_rad_m);
  const cdouble constant = c.length_m * c.start_a, rising = c.length_m * (c.end_a - c.start_a);
  const cdouble a = constant * s.potential[0] + rising * s.potential[1];
  std::array<cdouble, 3> b;
  for (std::size_t n = 0; n < 3; ++n) b[n] = constant * s.slope[0][n] + rising * s.slope[1][n];
  sum.potential.x += a * direction.x;
  sum.potential.y += a * direction.y;
  sum.potential.z += a * direction.z;
  sum.slope.x += charge * s.slope[0][0];
  sum.slope.y += charge * s.slope[0][1];
  sum.slope.z += charge * s.slope[0][2];
  sum.curl.x += b[1] * direction.z - b[2] * direction.y;
  sum.curl.y += b[2] * direction.x - b[0] * direction.z;
  sum.curl.z += b[0] * direction.y - b[1] * direction.x;
}

/// What a lossy ground adds to a cell beside the images, at the nodes of the image.
void add_rest(Sums& sum, const Sources& all, const CellCurrent& c, const LineNodes& nodes, Vec3 at) {
  const Vec3 whole = c.end - c.start, t = (1.0 / c.length_m) * whole;
  const cdouble charge = c.start_a - c.end_a;  // times length
  for (std::size_t n = 0; n < nodes.x.size(); ++n) {
    const double x = nodes.x[n], weight = nodes.weight[n];
    const Vec3 s = c.start + x * whole;
    const double dx = at.x_m - s.x_m, dy = at.y_m - s.y_m, rho = std::sqrt(dx * dx + dy * dy);
    const KernelSlopes k = all.ground.rest_slopes(rho, at.z_m + s.z_m);
    const double ux = rho > 0.0 ? dx / rho : 1.0, uy = rho > 0.0 ? dy / rho : 0.0, level = t.x_m * ux + t.y_m * uy;
    const cdouble i = (weight * c.length_m) * (c.start_a + x * (c.end_a - c.start_a)), q = weight * charge;
    const cdouble across = rho > 0.0 ? k.value.p / rho : k.by_rho.p;  // slope of p sideways
    sum.potential.x += i * (t.x_m * k.value.xx - t.z_m * ux * k.value.p);
    sum.potential.y += i * (t.y_m * k.value.xx - t.z_m * uy * k.value.p);
    sum.potential.z += i * (t.z_m * k.value.zz + level * k.value.p);
    sum.slope.x += q * ux * k.by_rho.phi;
    sum.slope.y += q * uy * k.by_rho.phi;
    sum.slope.z += q * k.by_z.phi;
    // p times the unit vector outwards has the slopes: by_rho.p along it, `across` sideways.
    const cdouble zx = t.z_m * ux * k.by_rho.zz + ux * level * k.by_rho.p + (t.x_m - ux * level) * across;
    const cdouble zy = t.z_m * uy * k.by_rho.zz + uy * level * k.by_rho.p + (t.y_m - uy * level) * across;
    sum.curl.x += i * (zy - (t.y_m * k.by_z.xx - t.z_m * uy * k.by_z.p));
    sum.curl.y += i * ((t.x_m * k.by_z.xx - t.z_m * ux * k.by_z.p) - zx);
    sum.curl.z += i * ((t.y_m * ux - t.x_m * uy) * k.by_rho.xx);
  }
}

NearField field_at(const Sources& all, Vec3 at) {
  Sums sum{};
  Seen line;
  for (const CellCurrent& c : all.solution.cells) {
    line.look(line_rule, at, c.start, c.end - c.start, c.length_m, c.radius_m);
    add_line(sum, all, c, line, at, 1.0, 1.0, 1.0);
    if (!all.ground.present) continue;
    const Vec3 image{c.start.x_m, c.start.y_m, -c.start.z_m},
        along{c.end.x_m - c.start.x_m, c.end.y_m - c.start.y_m, c.start.z_m - c.end.z_m};
    if (all.ground.has_rest()) {
      line.look(rest_rule, at, image, along, c.length_m, c.radius_m);
      add_rest(sum, all, c, line.nodes, at);
    }
    line.look(line_rule, at, image, along, c.length_m, c.radius_m);
    add_line(sum, all, c, line, at, all.ground.image_xx, all.ground.image_zz, all.ground.image_phi);
  }
  const double w = all.k_rad_m * speed_of_light_m_s;
  const cdouble of_vector = -j * (w * mu0_h_m / (4.0 * pi)), of_scalar = j / (w * eps0_f_m * 4.0 * pi);
  constexpr double of_curl = 1.0 / (4.0 * pi);
  return {of_vector * sum.potential.x + of_scalar * sum.slope.x,
          of_vector * sum.potential.y + of_scalar * sum.slope.y,
          of_vector * sum.potential.z + of_scalar * sum.slope.z,
          of_curl * sum.curl.x,
          of_curl * sum.curl.y,
          of_curl * sum.curl.z};
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

/// Whether the fields on both sides of the upright plane y = 0 are mirror images.
bool lies_in_plane(const AntennaSolution& s) {
  return std::all_of(s.cells.begin(), s.cells.end(),
                     [](const CellCurrent& c) { return c.start.y_m == 0.0 && c.end.y_m == 0.0; });
}

/// For each point the first that is the same, or its mirror image in the plane y = 0, to a nanometre.
std::vector<std::size_t> first_alike(std::span<const Vec3> points) {
  std::vector<std::size_t> first;
  std::map<std::array<long long, 3>, std::size_t> known;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3& p = points[i];
    const auto nm = [](double length_m) { return std::llround(1e9 * length_m); };
    first.push_back(known.try_emplace({nm(p.x_m), nm(std::abs(p.y_m)), nm(p.z_m)}, i).first->second);
  }
  return first;
}

NearField mirrored(NearField f) {
  f.ey_v_m = -f.ey_v_m;
  f.hx_a_m = -f.hx_a_m;
  f.hz_a_m = -f.hz_a_m;
  return f;
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
  const Sources all{solution, make_ground_model(solution.ground, solution.frequency_hz, solution.method, *tables),
                    two_pi * solution.frequency_hz / speed_of_light_m_s};
  const double scale = std::sqrt(power_w * (1.0 - solution.leakage_share) / solution.antenna_ohm.real());
  std::vector<std::size_t> first(points.size());
  std::iota(first.begin(), first.end(), std::size_t{0});
  if (lies_in_plane(solution)) first = first_alike(points);
  std::vector<std::size_t> computed;
  for (std::size_t i = 0; i < points.size(); ++i)
    if (first[i] == i) computed.push_back(i);
  in_blocks(computed.size(), 16, threads, [&](std::size_t from, std::size_t to) {
    for (std::size_t n = from; n < to; ++n) {
      NearField& f = fields[computed[n]] = field_at(all, points[computed[n]]);
      for (cdouble* c : {&f.ex_v_m, &f.ey_v_m, &f.ez_v_m, &f.hx_a_m, &f.hy_a_m, &f.hz_a_m}) *c *= scale;
    }
  });
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (first[i] == i) continue;
    const bool across = points[i].y_m * points[first[i]].y_m < 0.0;
    fields[i] = across ? mirrored(fields[first[i]]) : fields[first[i]];
  }
  return fields;
}

}  // namespace stile::wire
