#include <stile/wire/near_field.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/detail/ground_model.hpp>
#include <stile/wire/detail/kernel.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire {

using namespace detail;

namespace {

constexpr cdouble j{0.0, 1.0};
constexpr double step_share = 0.05;  // of the distance to the nearest wire or image
constexpr double farthest_m = 300.0;

struct Potentials {
  std::array<cdouble, 3> vector;  // without mu0/4pi, A
  cdouble scalar;                 // without 1/(4 pi eps0 j w), A/m
};

LineCell line_cell(const CellCurrent& c) {
  return {c.start, (1.0 / c.length_m) * (c.end - c.start), c.length_m, c.radius_m};
}

void add_rest(Potentials& sum, const CellCurrent& c, const LineCell& line, Vec3 at, const GroundModel& ground) {
  static const std::vector<GaussPoint> far = gauss_rule(3), near = gauss_rule(8);
  const LineCell image = mirrored(line);
  const double distance =
      piece_distance_m(at, at + 1e-9 * image.direction, image.start, image.start + image.length_m * image.direction);
  const cdouble charge = (c.start_a - c.end_a) / c.length_m;
  for (const GaussPoint& g : distance > 3.0 * c.length_m ? far : near) {
    const Vec3 s = c.start + (g.x * c.length_m) * line.direction;
    const double dx = at.x_m - s.x_m, dy = at.y_m - s.y_m, rho = std::hypot(dx, dy);
    const GroundKernel k = ground.rest(rho, at.z_m + s.z_m);
    const double w = g.weight * c.length_m;
    const cdouble i = w * (c.start_a + g.x * (c.end_a - c.start_a));
    const double ux = rho > 0.0 ? dx / rho : 0.0, uy = rho > 0.0 ? dy / rho : 0.0;
    sum.vector[0] += i * (line.direction.x_m * k.xx - line.direction.z_m * ux * k.p);
    sum.vector[1] += i * (line.direction.y_m * k.xx - line.direction.z_m * uy * k.p);
    sum.vector[2] += i * (line.direction.z_m * k.zz + (line.direction.x_m * ux + line.direction.y_m * uy) * k.p);
    sum.scalar += w * charge * k.phi;
  }
}

Potentials potentials(const AntennaSolution& s, const GroundModel& ground, double k_rad_m, Vec3 at) {
  Potentials sum{};
  for (const CellCurrent& c : s.cells) {
    const LineCell line = line_cell(c);
    const cdouble charge = (c.start_a - c.end_a) / c.length_m;
    const auto add = [&](const LineCell& source, cdouble horizontal, cdouble vertical, cdouble scalar) {
      const PointPotential p = point_potential(at, source, k_rad_m);
      const cdouble current = c.start_a * p.n0 + c.end_a * p.n1;
      sum.vector[0] += horizontal * line.direction.x_m * current;
      sum.vector[1] += horizontal * line.direction.y_m * current;
      sum.vector[2] += vertical * line.direction.z_m * current;
      sum.scalar += scalar * charge * (p.n0 + p.n1);
    };
    add(line, 1.0, 1.0, 1.0);
    if (!ground.present) continue;
    add(mirrored(line), ground.image_xx, ground.image_zz, ground.image_phi);
    if (ground.has_rest()) add_rest(sum, c, line, at, ground);
  }
  return sum;
}

/// Distance to the nearest wire, and over ground to the nearest image, m; at least that wire's radius.
double clearance_m(const AntennaSolution& s, Vec3 at) {
  double nearest = HUGE_VAL;
  for (const CellCurrent& c : s.cells) {
    const LineCell line = line_cell(c);
    const auto take = [&](const LineCell& l) {
      const double d = piece_distance_m(at, at + 1e-9 * l.direction, l.start, l.start + l.length_m * l.direction);
      nearest = std::min(nearest, std::max(d, c.radius_m));
    };
    take(line);
    if (s.ground.kind != GroundKind::free_space) take(mirrored(line));
  }
  return nearest;
}

NearField field_at(const AntennaSolution& s, const GroundModel& ground, double k, double step, Vec3 at) {
  // Differences of fourth order of both potentials along the three axes; close to the ground only upwards.
  constexpr std::array<double, 5> central{1.0, -8.0, 0.0, 8.0, -1.0}, forward{-25.0, 48.0, -36.0, 16.0, -3.0};
  const std::array<Vec3, 3> axes{Vec3{1.0, 0.0, 0.0}, Vec3{0.0, 1.0, 0.0}, Vec3{0.0, 0.0, 1.0}};
  const Potentials here = potentials(s, ground, k, at);
  std::array<Potentials, 3> slope{};
  for (std::size_t a = 0; a < 3; ++a) {
    const bool upwards = a == 2 && ground.present && at.z_m < 2.0 * step;
    for (std::size_t n = 0; n < 5; ++n) {
      const double weight = (upwards ? forward : central)[n] / (12.0 * step);
      if (weight == 0.0) continue;
      const double offset = step * (static_cast<double>(n) - (upwards ? 0.0 : 2.0));
      const Potentials p = offset == 0.0 ? here : potentials(s, ground, k, at + offset * axes[a]);
      for (std::size_t c = 0; c < 3; ++c) slope[a].vector[c] += weight * p.vector[c];
      slope[a].scalar += weight * p.scalar;
    }
  }
  const double w = k * speed_of_light_m_s;
  const cdouble of_vector = -j * (w * mu0_h_m / (4.0 * pi));
  const cdouble of_scalar = -1.0 / (j * (w * eps0_f_m * 4.0 * pi));
  constexpr double of_curl = 1.0 / (4.0 * pi);
  NearField f;
  f.ex_v_m = of_vector * here.vector[0] + of_scalar * slope[0].scalar;
  f.ey_v_m = of_vector * here.vector[1] + of_scalar * slope[1].scalar;
  f.ez_v_m = of_vector * here.vector[2] + of_scalar * slope[2].scalar;
  f.hx_a_m = of_curl * (slope[1].vector[2] - slope[2].vector[1]);
  f.hy_a_m = of_curl * (slope[2].vector[0] - slope[0].vector[2]);
  f.hz_a_m = of_curl * (slope[0].vector[1] - slope[1].vector[0]);
  return f;
}

}  // namespace

double NearField::e_v_m() const { return std::sqrt(std::norm(ex_v_m) + std::norm(ey_v_m) + std::norm(ez_v_m)); }
double NearField::h_a_m() const { return std::sqrt(std::norm(hx_a_m) + std::norm(hy_a_m) + std::norm(hz_a_m)); }

std::vector<NearField> near_field(const AntennaSolution& solution, std::span<const Vec3> points, double power_w) {
  require(std::isfinite(power_w) && power_w > 0.0, "power_w must be > 0");
  const bool over_ground = solution.ground.kind != GroundKind::free_space;
  std::vector<double> steps;
  for (const Vec3& p : points) {
    require(is_finite(p), "a field point is not finite");
    require(!over_ground || p.z_m >= 0.0, "a field point lies below the ground");
    const double clearance = clearance_m(solution, p);
    require(solution.ground.kind != GroundKind::lossy || clearance <= farthest_m,
            "a field point is more than 300 m away from the antenna");
    // Far away the wave, not the distance, sets the scale.
    steps.push_back(step_share * std::min(clearance, 0.1 * speed_of_light_m_s / solution.frequency_hz));
  }
  std::vector<NearField> fields;
  if (points.empty()) return fields;
  const double k = two_pi * solution.frequency_hz / speed_of_light_m_s;
  GroundTables tables;
  const GroundModel ground = make_ground_model(solution.ground, solution.frequency_hz, solution.method, tables);
  const double scale = std::sqrt(power_w * (1.0 - solution.leakage_share) / solution.antenna_ohm.real());
  for (std::size_t i = 0; i < points.size(); ++i) {
    NearField f = field_at(solution, ground, k, steps[i], points[i]);
    for (cdouble* c : {&f.ex_v_m, &f.ey_v_m, &f.ez_v_m, &f.hx_a_m, &f.hy_a_m, &f.hz_a_m}) *c *= scale;
    fields.push_back(f);
  }
  return fields;
}

}  // namespace stile::wire
