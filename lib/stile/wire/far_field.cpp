#include <stile/wire/far_field.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/detail/far_sums.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire {

using namespace detail;

namespace {

constexpr cdouble j{0.0, 1.0};

/// The currents of antennas with the same cells as short dipoles, two a cell: exact to (kL)^4/4000.
FarDipoles dipoles_of(std::span<const AntennaSolution> alike) {
  static const std::vector<GaussPoint> rule = gauss_rule(2);
  FarDipoles dipoles;
  dipoles.moments.resize(alike.size());
  const auto add = [&](Vec3 at, Vec3 direction) {
    dipoles.x_m.push_back(at.x_m);
    dipoles.y_m.push_back(at.y_m);
    dipoles.z_m.push_back(at.z_m);
    dipoles.along_x.push_back(direction.x_m);
    dipoles.along_y.push_back(direction.y_m);
    dipoles.along_z.push_back(direction.z_m);
  };
  for (std::size_t n = 0; n < alike.front().cells.size(); ++n) {
    const CellCurrent& c = alike.front().cells[n];
    const Vec3 along = c.end - c.start;
    for (const GaussPoint& g : rule) {
      add(c.start + g.x * along, (1.0 / c.length_m) * along);
      for (std::size_t m = 0; m < alike.size(); ++m) {
        const CellCurrent& own = alike[m].cells[n];
        const cdouble moment_a_m = g.weight * c.length_m * (own.start_a + g.x * (own.end_a - own.start_a));
        dipoles.moments[m].re_a_m.push_back(moment_a_m.real());
        dipoles.moments[m].im_a_m.push_back(moment_a_m.imag());
      }
    }
  }
  const Vec3 first{dipoles.x_m.front(), dipoles.y_m.front(), dipoles.z_m.front()};
  while (dipoles.x_m.size() % 4 != 0) add(first, {});
  for (FarMoments& m : dipoles.moments) m.re_a_m.resize(dipoles.x_m.size()), m.im_a_m.resize(dipoles.x_m.size());
  return dipoles;
}

struct Reflection {
  cdouble vertical, horizontal;  // of the two polarisations, 0 without ground
};

double square(const FarField& f) { return std::norm(f.theta_v) + std::norm(f.phi_v); }

class Radiator {
public:
  explicit Radiator(const AntennaSolution& s) : Radiator(std::span(&s, 1)) {}

  /// Of antennas with the same cells over the same ground at the same frequency.
  explicit Radiator(std::span<const AntennaSolution> alike)
      : dipoles_(dipoles_of(alike)), kind_(alike.front().ground.kind),
        k_(two_pi * alike.front().frequency_hz / speed_of_light_m_s),
        permittivity_(
            kind_ == GroundKind::lossy ? complex_permittivity(alike.front().ground, alike.front().frequency_hz) : 1.0) {
    const FarDipoles& d = dipoles_;
    const Vec3 first{d.x_m[0], d.y_m[0], d.z_m[0]};
    double far_m = 0.0, aside_m = 0.0;
    for (std::size_t n = 1; n < d.x_m.size(); ++n) {
      far_m = std::max(far_m, norm(Vec3{d.x_m[n], d.y_m[n], d.z_m[n]} - first));
      aside_m = std::max(aside_m, std::hypot(d.x_m[n] - first.x_m, d.y_m[n] - first.y_m));
    }
    size_ = k_ * far_m * (kind_ == GroundKind::free_space ? 1.0 : 2.0);
    width_ = k_ * aside_m;
  }

  /// All directions of one polar angle: what does not depend on azimuth.
  struct Cone {
    double sine;  // of the angle in air
    FarRays rays;
  };

  Cone up(double theta) const {
    const double c = std::cos(theta), s = std::sin(theta);
    const Reflection r = reflection(c, s);
    const HeightPhases heights = height_phases(dipoles_, k_ * c);
    const double image = kind_ == GroundKind::free_space ? 0.0 : 1.0;
    return cone(s, [&](std::size_t n) {
      const cdouble direct(heights.cosine[n], heights.sine[n]), mirror = image * std::conj(direct);
      return Rays{c * (direct - r.vertical * mirror), s * (direct + r.vertical * mirror),
                  direct + r.horizontal * mirror};
    });
  }

  /// Into a lossless dielectric, at angle theta from the nadir; by reciprocity the field that a plane wave from below
  /// leaves above the surface.
  Cone down(double theta) const {
    const double n = std::sqrt(permittivity_.real());
    const double c1 = std::cos(theta), s1 = std::sin(theta), s0 = n * s1;
    const cdouble c0 = s0 <= 1.0 ? cdouble(std::sqrt(1.0 - s0 * s0)) : cdouble(0.0, -std::sqrt(s0 * s0 - 1.0));
    const cdouble te = 2.0 * n * c1 / (n * c1 + c0), tm = 2.0 * n * c1 / (c1 + n * c0);
    return cone(s0, [&](std::size_t i) {
      const cdouble wave = std::exp(-j * (k_ * c0 * dipoles_.z_m[i]));
      return Rays{-tm * c0 * wave, tm * s0 * wave, te * wave};
    });
  }

  FarField field(const Cone& cone, double phi) const {
    std::vector<FarSums> sums;
    far_sums(dipoles_, cone.rays, k_ * cone.sine, phi, sums);
    return field(sums.front());
  }

  /// Adds to each antenna's sum the mean over azimuth of its field's square, times 2 pi and the weight.
  void add_around(const Cone& cone, double weight, std::vector<double>& sums) const {
    const int points = azimuth_points(cone);
    const bool half = mirrored();  // both halves of the circle are equal
    std::vector<FarSums> fields;
    for (int i = 0; i <= (half ? points / 2 : points - 1); ++i) {
      const double share = half && i != 0 && 2 * i != points ? 2.0 : 1.0;
      far_sums(dipoles_, cone.rays, k_ * cone.sine, two_pi * i / points, fields);
      for (std::size_t m = 0; m < sums.size(); ++m)
        sums[m] += weight * (share * two_pi / points) * square(field(fields[m]));
    }
  }

  int polar_points() const { return 12 + static_cast<int>(1.2 * size_); }
  double refractive_index() const { return std::sqrt(permittivity_.real()); }

private:
  /// The field is a sum of J_n(k r sin theta) exp(jn phi): of its square little is left beyond 2 k r sin theta.
  int azimuth_points(const Cone& cone) const { return 8 + static_cast<int>(3.0 * width_ * cone.sine); }
  /// Whether all lies in the plane y = 0.
  bool mirrored() const {
    const auto none = [](const std::vector<double>& all) {
      return std::all_of(all.begin(), all.end(), [](double one) { return one == 0.0; });
    };
    return none(dipoles_.y_m) && none(dipoles_.along_y);
  }

  FarField field(const FarSums& sums) const {
    const cdouble factor = -j * (k_ * eta0_ohm / (4.0 * pi));
    return {factor * sums.theta_a_m, factor * sums.phi_a_m};
  }

  Reflection reflection(double c, double s) const {
    if (kind_ == GroundKind::free_space) return {0.0, 0.0};
    if (kind_ == GroundKind::perfect) return {1.0, -1.0};
    const cdouble q = std::sqrt(permittivity_ - s * s);
    return {(permittivity_ * c - q) / (permittivity_ * c + q), (c - q) / (c + q)};
  }

  struct Rays {  // of one dipole, as in FarRays
    cdouble along, up, across;
  };

  template <class RayFunction>
  Cone cone(double sine, const RayFunction& rays_of) const {
    const std::size_t count = dipoles_.z_m.size();
    const std::vector<double> none(count);
    Cone c{sine, {none, none, none, none, none, none}};
    for (std::size_t n = 0; n < count; ++n) {
      const Rays of = rays_of(n);
      c.rays.re_along[n] = of.along.real();
      c.rays.im_along[n] = of.along.imag();
      c.rays.re_up[n] = of.up.real();
      c.rays.im_up[n] = of.up.imag();
      c.rays.re_across[n] = of.across.real();
      c.rays.im_across[n] = of.across.imag();
    }
    return c;
  }

  FarDipoles dipoles_;
  GroundKind kind_;
  double k_;
  cdouble permittivity_;
  double size_ = 0.0, width_ = 0.0;  // of all with its image, and across; in wavelengths over 2 pi
};

void check_angle(const AntennaSolution& s, double theta_rad) {
  const double limit = s.ground.kind == GroundKind::free_space ? pi : 0.5 * pi;
  require(theta_rad >= 0.0 && theta_rad <= limit * (1.0 + 1e-12),
          "theta_rad must be 0..pi in free space, 0..pi/2 over ground");
}

/// Power into the terminals for 1 A into the antenna: with that in the leakage of the base.
double input_w(const AntennaSolution& s) { return s.antenna_ohm.real() / (1.0 - s.leakage_share); }

}  // namespace

FarField far_field(const AntennaSolution& solution, double theta_rad, double phi_rad) {
  check_angle(solution, theta_rad);
  const Radiator radiator(solution);
  return radiator.field(radiator.up(theta_rad), phi_rad);
}

double far_power_w(const AntennaSolution& solution) { return far_powers_w({&solution, 1}).front(); }

std::vector<double> far_powers_w(std::span<const AntennaSolution> alike) {
  require(!alike.empty() && std::all_of(alike.begin(), alike.end(),
                                        [&](const AntennaSolution& s) {
                                          return s.cells.size() == alike.front().cells.size() &&
                                                 s.frequency_hz == alike.front().frequency_hz &&
                                                 s.ground == alike.front().ground;
                                        }),
          "antennas whose powers are summed together need the same cells, ground and frequency");
  const Radiator radiator(alike);
  const bool sphere = alike.front().ground.kind == GroundKind::free_space;
  std::vector<double> powers_w(alike.size(), 0.0);
  for (const GaussPoint& g : gauss_rule(std::min(radiator.polar_points() + (sphere ? 0 : 4), 512))) {
    // Over ground the cosine is squared: the coefficients change fastest at grazing angles.
    const double cosine = sphere ? 2.0 * g.x - 1.0 : g.x * g.x;
    radiator.add_around(radiator.up(std::acos(cosine)), g.weight * (sphere ? 2.0 : 2.0 * g.x), powers_w);
  }
  for (double& p : powers_w) p /= eta0_ohm;
  return powers_w;
}

double down_power_w(const AntennaSolution& solution) {
  require(solution.ground.kind == GroundKind::lossy && solution.ground.conductivity_s_m == 0.0,
          "power goes down only into a lossless dielectric ground");
  const Radiator radiator(solution);
  const double n = radiator.refractive_index();
  const double critical = std::asin(1.0 / n);
  std::vector<double> sum{0.0};
  for (const auto& [from, to] : {std::pair{0.0, critical}, std::pair{critical, 0.5 * pi}}) {
    for (const GaussPoint& g : clustered_rule(std::min(24 + static_cast<int>(n * radiator.polar_points()), 512))) {
      const double theta = from + (to - from) * g.x;
      radiator.add_around(radiator.down(theta), g.weight * (to - from) * std::sin(theta), sum);
    }
  }
  return sum.front() * n / eta0_ohm;
}

double antenna_gain(const AntennaSolution& solution, double theta_rad, double phi_rad) {
  return 4.0 * pi * square(far_field(solution, theta_rad, phi_rad)) / (eta0_ohm * input_w(solution));
}

double elevation_gain_dbi(const AntennaSolution& solution, double elevation_rad, double phi_rad) {
  return 10.0 * std::log10(antenna_gain(solution, 0.5 * pi - elevation_rad, phi_rad));
}

std::vector<PatternPoint> vertical_pattern(const AntennaSolution& solution, double phi_rad, int points) {
  require(points >= 2, "a pattern needs at least 2 points");
  const double lowest = solution.ground.kind == GroundKind::free_space ? -0.5 * pi : 0.0;
  const Radiator radiator(solution);
  std::vector<PatternPoint> pattern;
  for (int i = 0; i < points; ++i) {
    const double elevation = lowest + (0.5 * pi - lowest) * i / (points - 1);
    const double power = square(radiator.field(radiator.up(std::max(0.5 * pi - elevation, 0.0)), phi_rad));
    const double ratio = 4.0 * pi * power / (eta0_ohm * input_w(solution));
    pattern.push_back({elevation, 10.0 * std::log10(ratio)});
  }
  return pattern;
}

double mean_gain(const AntennaSolution& solution, double low_rad, double high_rad) {
  const double lowest = solution.ground.kind == GroundKind::free_space ? -0.5 * pi : 0.0;
  require(low_rad >= lowest && low_rad < high_rad && high_rad <= 0.5 * pi * (1.0 + 1e-12),
          "elevations must rise within 0..pi/2 over ground, -pi/2..pi/2 in free space");
  const Radiator radiator(solution);
  // The sine of the elevation is even in solid angle; over ground it is squared, as in far_power_w.
  const double from = lowest < 0.0 ? std::sin(low_rad) : std::sqrt(std::sin(low_rad));
  const double to = lowest < 0.0 ? std::sin(high_rad) : std::sqrt(std::sin(high_rad));
  std::vector<double> sum{0.0};
  double solid_angle = 0.0;
  for (const GaussPoint& g : gauss_rule(std::min(radiator.polar_points() + 4, 512))) {
    const double x = from + (to - from) * g.x, sine = lowest < 0.0 ? x : x * x;
    const double weight = g.weight * (to - from) * (lowest < 0.0 ? 1.0 : 2.0 * x);
    radiator.add_around(radiator.up(std::acos(sine)), weight, sum);
    solid_angle += two_pi * weight;
  }
  return 4.0 * pi * sum.front() / solid_angle / (eta0_ohm * input_w(solution));
}

double mean_gain_dbi(const AntennaSolution& solution, double low_rad, double high_rad) {
  return 10.0 * std::log10(mean_gain(solution, low_rad, high_rad));
}

double effective_height_m(const AntennaSolution& solution) {
  cdouble sum = 0.0;
  for (const CellCurrent& c : solution.cells) sum += 0.5 * (c.start_a + c.end_a) * (c.end.z_m - c.start.z_m);
  return std::abs(sum);
}

}  // namespace stile::wire
