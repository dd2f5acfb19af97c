#include <stile/wire/detail/ground_rest.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <stile/base/detail/clones.hpp>
#include <stile/wire/detail/fours.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire::detail {

namespace {

constexpr std::size_t most_points = 196;

const PairRule& rule_of(int n) {
  static const std::array<PairRule, 5> rules{pair_rule(gauss_rule(2)), pair_rule(gauss_rule(3)),
                                             pair_rule(gauss_rule(5)), pair_rule(gauss_rule(8)),
                                             pair_rule(clustered_rule(14))};
  return rules[static_cast<std::size_t>(n)];
}

/// Points for the rest of the ground: more where the image is near against the cell.
const PairRule& rest_rule(double distance_m, double length_m, double size_at_ground) {
  const double ratio = distance_m / length_m;
  return rule_of(ratio > 4.0 ? 0 : ratio > 1.5 ? 1 : size_at_ground > 0.7 ? 3 : 2);
}

/// Points for the static part of p, which bends as sharply as the image's own field.
const PairRule& static_rule(double distance_m, double length_m) {
  const double ratio = distance_m / length_m;
  return rule_of(ratio > 4.0 ? 0 : ratio > 1.5 ? 1 : ratio > 1.0 ? 3 : 4);
}

/// The points of a rule: horizontal distance, height sum, and the factor of p, from a horizontal current up and from a
/// vertical one aside.
struct Places {
  std::array<double, most_points> rho_m, z_m, turned;
};

STILE_CLONES
void find_places(const LineCell& p, const LineCell& q, const PairRule& rule, double on_soil_m, Places& places) {
  const double horizontal_x = p.start.x_m - q.start.x_m, horizontal_y = p.start.y_m - q.start.y_m;
  const double *x = rule.x.data(), *y = rule.y.data();
  const std::size_t padded = rule.x.size();
  for (std::size_t n = 0; n < padded; ++n) {
    const double s = x[n] * p.length_m, t = y[n] * q.length_m;
    const double dx = horizontal_x + s * p.direction.x_m - t * q.direction.x_m;
    const double dy = horizontal_y + s * p.direction.y_m - t * q.direction.y_m;
    const double rho = std::sqrt(dx * dx + dy * dy);
    const double p_z = p.start.z_m + s * p.direction.z_m, q_z = q.start.z_m + t * q.direction.z_m;
    const double up = dx * q.direction.x_m + dy * q.direction.y_m, aside = dx * p.direction.x_m + dy * p.direction.y_m;
    places.rho_m[n] = rho;
    places.z_m[n] = (p_z > joint_m ? p_z : on_soil_m) + (q_z > joint_m ? q_z : on_soil_m);
    places.turned[n] = (p.direction.z_m * up - q.direction.z_m * aside) / (rho > 0.0 ? rho : 1.0);
  }
}

/// Sums over the points of the vector potential's kernel and of phi, in fours: real and imaginary part of either, for
/// each pair of functions.
STILE_CLONES
void weigh(const PairRule& rule, const KernelParts* kernels, const double* turned, double horizontal, double vertical,
           double* out) {
  Four sums[4] = {};
  for (std::size_t n = 0; n < rule.points; ++n) {
    const KernelParts& k = kernels[n];
    const Four value{horizontal * k[0] + vertical * k[2] + turned[n] * k[6],
                     horizontal * k[1] + vertical * k[3] + turned[n] * k[7], k[4], k[5]};
    for (std::size_t i = 0; i < 4; ++i) sums[i] += rule.weight[i / 2][i % 2][n] * value;
  }
  for (std::size_t i = 0; i < 4; ++i) store(sums[i], out + 4 * i);
}

/// Sums over the points of the static part of p, for a contrast of 1.
STILE_CLONES
void weigh_static(const PairRule& rule, const Places& places, double* out) {
  Four sums[4] = {};
  for (std::size_t n = 0; n < rule.x.size(); n += 4) {
    Four rho, z, turned;
    load(&places.rho_m[n], rho);
    load(&places.z_m[n], z);
    load(&places.turned[n], turned);
    Four r = rho * rho + z * z;
    take_root(r);
    const Four value = -turned * rho / (r * (r + z));
    for (std::size_t i = 0; i < 4; ++i) {
      Four w;
      load(&rule.weight[i / 2][i % 2][n], w);
      sums[i] += w * value;
    }
  }
  for (std::size_t i = 0; i < 4; ++i) out[i] = (sums[i][0] + sums[i][1]) + (sums[i][2] + sums[i][3]);
}

}  // namespace

CellCoupling rest_coupling(const LineCell& p, const LineCell& q, const GroundModel& ground) {
  const LineCell image = mirrored(q);
  const double horizontal = p.direction.x_m * q.direction.x_m + p.direction.y_m * q.direction.y_m;
  const double vertical = p.direction.z_m * q.direction.z_m;
  const Vec3 p1 = p.start + p.length_m * p.direction, q1 = image.start + image.length_m * image.direction;
  const Vec3 between = p.start + (0.5 * p.length_m) * p.direction - image.start - (0.5 * q.length_m) * image.direction;
  const double longest = std::max(p.length_m, q.length_m), area = p.length_m * q.length_m;
  double distance = norm(between) - 0.5 * (p.length_m + q.length_m);
  if (distance < 4.0 * longest) distance = piece_distance_m(p.start, p1, image.start, q1);

  CellCoupling sum;
  const PairRule& rule = rest_rule(distance, longest, longest * ground.k0_rad_m * ground.index);
  Places places;
  std::array<KernelParts, most_points> kernels;
  find_places(p, q, rule, ground.on_soil_m, places);
  ground.smooth_rest(places.rho_m.data(), places.z_m.data(), rule.points, kernels.data());
  std::array<double, 16> sums;
  weigh(rule, kernels.data(), places.turned.data(), horizontal, vertical, sums.data());
  for (std::size_t i = 0; i < 4; ++i) {
    sum.vector[i / 2][i % 2] = area * cdouble(sums[4 * i], sums[4 * i + 1]);
    sum.scalar += area * cdouble(sums[4 * i + 2], sums[4 * i + 3]);
  }

  const bool tilted = p.direction.z_m != 0.0 || q.direction.z_m != 0.0;
  if (!tilted || ground.contrast == 0.0) return sum;
  const PairRule& finer = static_rule(distance, longest);
  if (&finer != &rule) find_places(p, q, finer, ground.on_soil_m, places);
  weigh_static(finer, places, sums.data());
  for (std::size_t i = 0; i < 4; ++i) sum.vector[i / 2][i % 2] += area * sums[i] * ground.contrast;
  return sum;
}

}  // namespace stile::wire::detail
