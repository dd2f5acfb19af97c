#include <array>
#include <catch2/catch.hpp>
#include <random>

#include <stile/base/errors.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/detail/line_sums.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/near_field.hpp>
#include <stile/wire/vec3.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;
using namespace stile::wire::detail;

namespace {

/// Real power through a box, outward, W, for a given input power.
double flux_w(const AntennaSolution& s, Vec3 low, Vec3 high, int order, double power_w) {
  const std::array<double, 3> a{low.x_m, low.y_m, low.z_m}, b{high.x_m, high.y_m, high.z_m};
  const std::vector<wire::detail::GaussPoint> rule = wire::detail::gauss_rule(order);
  std::vector<Vec3> points;
  std::vector<double> weights;
  std::vector<std::size_t> axes;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::size_t u = (axis + 1) % 3, v = (axis + 2) % 3;
    for (const bool top : {false, true}) {
      for (const auto& g : rule) {
        for (const auto& h : rule) {
          std::array<double, 3> p{};
          p[axis] = top ? b[axis] : a[axis];
          p[u] = a[u] + g.x * (b[u] - a[u]);
          p[v] = a[v] + h.x * (b[v] - a[v]);
          points.push_back({p[0], p[1], p[2]});
          weights.push_back((top ? 1.0 : -1.0) * g.weight * h.weight * (b[u] - a[u]) * (b[v] - a[v]));
          axes.push_back(axis);
        }
      }
    }
  }
  const std::vector<NearField> fields = near_field(s, points, power_w);
  double sum = 0.0;
  for (std::size_t i = 0; i < fields.size(); ++i) {
    const NearField& f = fields[i];
    const std::array<cdouble, 3> e{f.ex_v_m, f.ey_v_m, f.ez_v_m}, m{f.hx_a_m, f.hy_a_m, f.hz_a_m};
    const std::size_t u = (axes[i] + 1) % 3, v = (axes[i] + 2) % 3;
    sum += weights[i] * (e[u] * std::conj(m[v]) - e[v] * std::conj(m[u])).real();
  }
  return sum;
}

/// Fields in free space by summing the current on the wires' surfaces, spread evenly around, for 1 A at the feed: no
/// potentials, no differences, no kernel of the library.
struct Fields {
  std::array<cdouble, 3> e{}, h{};
};

Fields summed_fields(const AntennaSolution& s, Vec3 at) {
  constexpr int around = 32;
  const cdouble j{0.0, 1.0};
  const double k = two_pi * s.frequency_hz / speed_of_light_m_s, w = two_pi * s.frequency_hz;
  const std::vector<wire::detail::GaussPoint> rule = wire::detail::gauss_rule(4);
  Fields sum;
  for (const CellCurrent& c : s.cells) {
    const Vec3 u = (1.0 / c.length_m) * (c.end - c.start);
    const Vec3 v = std::abs(u.z_m) < 0.9 ? Vec3{u.y_m, -u.x_m, 0.0} : Vec3{0.0, u.z_m, -u.y_m};  // across u
    const Vec3 p = (1.0 / std::hypot(v.x_m, v.y_m, v.z_m)) * v;
    const Vec3 q{u.y_m * p.z_m - u.z_m * p.y_m, u.z_m * p.x_m - u.x_m * p.z_m, u.x_m * p.y_m - u.y_m * p.x_m};
    const cdouble slope = (c.end_a - c.start_a) / c.length_m;
    const double middle = std::hypot(at.x_m - 0.5 * (c.start.x_m + c.end.x_m), at.y_m - 0.5 * (c.start.y_m + c.end.y_m),
                                     at.z_m - 0.5 * (c.start.z_m + c.end.z_m));
    // Pieces no longer than a radius where the point is near, a fifth of the cell elsewhere.
    const int pieces = middle < 2.0 * c.length_m ? static_cast<int>(std::ceil(c.length_m / c.radius_m)) : 5;
    for (int n = 0; n < pieces; ++n) {
      for (const wire::detail::GaussPoint& g : rule) {
        const double along = (n + g.x) / pieces * c.length_m;
        const cdouble current = c.start_a + slope * along;
        for (int m = 0; m < around; ++m) {
          const double angle = two_pi * m / around;
          const Vec3 from =
              c.start + along * u + (c.radius_m * std::cos(angle)) * p + (c.radius_m * std::sin(angle)) * q;
          const Vec3 d = at - from;
          const double r = std::hypot(d.x_m, d.y_m, d.z_m), weight = g.weight * c.length_m / pieces / around;
          const cdouble green = std::polar(weight / (4.0 * pi * r), -k * r);
          const cdouble gradient = -(1.0 + j * k * r) / (r * r) * green;  // times d
          const std::array<double, 3> ds{d.x_m, d.y_m, d.z_m}, us{u.x_m, u.y_m, u.z_m};
          for (std::size_t i = 0; i < 3; ++i) {
            sum.e[i] += -j * w * mu0_h_m * current * us[i] * green + slope / (j * w * eps0_f_m) * ds[i] * gradient;
            const std::size_t a = (i + 1) % 3, b = (i + 2) % 3;
            sum.h[i] += current * gradient * (ds[a] * us[b] - ds[b] * us[a]);
          }
        }
      }
    }
  }
  return sum;
}

}  // namespace

TEST_CASE("near field from three radii on against the summed current of the wires") {
  const Antenna antenna = whip_with_wire(0.05);
  const AntennaSolution s = solve_antenna(antenna, free_space(), 14e6);
  struct Limit {
    double radii, electric;
  };
  int points = 0;
  for (const Limit& limit : {Limit{3.0, 0.02}, Limit{10.0, 0.004}, Limit{100.0, 1e-3}}) {
    double electric = 0.0, magnetic = 0.0;
    for (std::size_t n = 0; n < s.cells.size(); ++n) {
      const CellCurrent& c = s.cells[n];
      if (c.length_m > 0.05 && n % 4 != 0) continue;  // of the long cells, which are alike, every fourth
      const double to_end = wire_length_m(antenna.wires[c.wire]) - c.distance_m - c.length_m;
      if (c.distance_m < c.length_m || to_end < c.length_m) continue;
      for (const double share : {0.0, 0.3, 0.5}) {
        // To the side of both wires, which lie in the plane of x and z.
        const Vec3 at = c.start + share * (c.end - c.start) + Vec3{0.0, limit.radii * c.radius_m, 0.0};
        const NearField f = near_field(s, std::vector<Vec3>{at}, s.antenna_ohm.real())[0];
        const Fields expected = summed_fields(s, at);
        const auto error = [](const std::array<cdouble, 3>& field, const std::array<cdouble, 3>& wanted) {
          double worst = 0.0, most = 0.0;
          for (std::size_t i = 0; i < 3; ++i) {
            worst = std::max(worst, std::abs(field[i] - wanted[i]));
            most = std::max(most, std::abs(wanted[i]));
          }
          return worst / most;
        };
        electric = std::max(electric, error({f.ex_v_m, f.ey_v_m, f.ez_v_m}, expected.e));
        magnetic = std::max(magnetic, error({f.hx_a_m, f.hy_a_m, f.hz_a_m}, expected.h));
        ++points;
      }
    }
    INFO("radii " << limit.radii << " electric " << electric << " magnetic " << magnetic);
    CHECK(electric <= limit.electric);
    CHECK(magnetic <= 1e-3);
  }
  CHECK(points > 100);
}

TEST_CASE("near field of a short dipole in closed form") {
  const double f = 10e6, k = two_pi * f / speed_of_light_m_s;
  const AntennaSolution s = solve_antenna(dipole(0.02, 0.0002, 0.002), free_space(), f);
  const double moment = effective_height_m(s);
  const cdouble j{0.0, 1.0};
  const std::vector<Vec3> points{{1, 0, 0}, {0.6, 0.8, 0.5}, {3, 0, 2}, {30, 0, 0}};
  const std::vector<NearField> fields = near_field(s, points, s.antenna_ohm.real());
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double across = std::hypot(points[i].x_m, points[i].y_m), r = std::hypot(across, points[i].z_m);
    const double sine = across / r, cosine = points[i].z_m / r;
    const cdouble q = 1.0 / (j * k * r);
    const double theta = std::abs(eta0_ohm * k * moment * sine / (4.0 * pi * r) * (1.0 + q + q * q));
    const double radial = std::abs(eta0_ohm * moment * cosine / (2.0 * pi * r * r) * (1.0 + q));
    const double magnetic = std::abs(k * moment * sine / (4.0 * pi * r) * (1.0 + q));
    INFO("point " << i);
    CHECK(std::abs(fields[i].e_v_m() / std::hypot(theta, radial) - 1.0) <= 1e-3);
    CHECK(std::abs(fields[i].h_a_m() / magnetic - 1.0) <= 1e-3);
  }
}

TEST_CASE("near field becomes the far field") {
  for (const Ground& g : {free_space(), perfect_ground(), ground_by_name("average")}) {
    const AntennaSolution s = solve_antenna(whip_with_wire(0.3), g, 28e6);
    const double r = 250.0, theta = 0.8, phi = 0.7;
    const std::vector<Vec3> point{
        {r * std::sin(theta) * std::cos(phi), r * std::sin(theta) * std::sin(phi), r * std::cos(theta)}};
    const NearField f = near_field(s, point, s.antenna_ohm.real())[0];
    const FarField far = far_field(s, theta, phi);
    const double expected = std::sqrt(std::norm(far.theta_v) + std::norm(far.phi_v)) / r;
    INFO("ground " << static_cast<int>(g.kind) << " " << f.e_v_m() << " " << expected);
    CHECK(std::abs(f.e_v_m() / expected - 1.0) <= 6.2 / r);  // the antenna's size over the distance
    CHECK(std::abs(f.e_v_m() / f.h_a_m() / eta0_ohm - 1.0) <= 0.01);
  }
}

TEST_CASE("power through a box around the antenna is the power fed in") {
  // Over lossy ground this joins both potentials, all four kernels and the magnetic field in one number.
  Antenna a;
  a.wires.push_back(bare({{0, 0, 1.2}, {0, 0, 3.6}}, 0.002));
  a.wires.push_back(bare({{0, 0, 1.2}, {1.2, 0, 0.9}, {3.0, 0, 0.9}}, 0.001));
  a.feed.gap_m = 0.02;
  for (const Ground& g : {free_space(), perfect_ground(), ground_by_name("medium dry"), ground_by_name("wet")}) {
    const AntennaSolution s = solve_antenna(a, g, 14e6);
    const double flux = flux_w(s, {-1.5, -1.5, 0.1}, {4.5, 1.5, 5.0}, 12, 10.0);
    INFO("ground " << g.relative_permittivity << " " << g.conductivity_s_m << " flux " << flux);
    CHECK(std::abs(flux - 10.0) <= 0.05);
  }
}

TEST_CASE("over perfect ground the level electric and the upright magnetic field vanish at its surface") {
  const AntennaSolution s = solve_antenna(whip_with_wire(0.3), perfect_ground(), 14e6);
  const std::vector<Vec3> points{{2.0, 1.0, 0.0}, {-1.0, 0.5, 0.0}};
  for (const NearField& f : near_field(s, points, 5.0)) {
    CHECK(std::abs(f.ex_v_m) + std::abs(f.ey_v_m) <= 1e-3 * f.e_v_m());
    CHECK(std::abs(f.hz_a_m) <= 1e-3 * f.h_a_m());
  }
}

TEST_CASE("near field scales with the root of power") {
  const AntennaSolution s = solve_antenna(monopole(2.4, 0.002), perfect_ground(), 7e6);
  const std::vector<Vec3> point{{1.0, 0.0, 1.0}};
  CHECK(std::abs(near_field(s, point, 20.0)[0].e_v_m() / near_field(s, point, 5.0)[0].e_v_m() - 2.0) <= 1e-12);
  CHECK_THROWS_AS(near_field(s, point, 0.0), DomainError);
  CHECK_THROWS_AS(near_field(s, std::vector<Vec3>{{0, 0, -1}}, 5.0), DomainError);
  CHECK_THROWS_AS(near_field(s, std::vector<Vec3>{{std::nan(""), 0, 1}}, 5.0), DomainError);
  CHECK(near_field(s, std::vector<Vec3>{}, 5.0).empty());
}

TEST_CASE("patterns and gain") {
  const double f = 14e6;
  // Short whip over perfect ground: 4.77 dBi at the horizon (directivity 3), nothing overhead.
  const AntennaSolution whip = solve_antenna(monopole(1.0, 0.001), perfect_ground(), f);
  CHECK(std::abs(10.0 * std::log10(antenna_gain(whip, 0.5 * pi, 0.0)) - 4.77) <= 0.03);
  CHECK(antenna_gain(whip, 0.0, 0.0) <= 1e-20);
  // Half-wave dipole in free space: 2.15 dBi.
  const AntennaSolution half = solve_antenna(dipole(5.2, 0.001, 0.02), free_space(), f);
  CHECK(std::abs(10.0 * std::log10(antenna_gain(half, 0.5 * pi, 1.0)) - 2.15) <= 0.03);
  const std::vector<PatternPoint> cut = vertical_pattern(half, 0.0, 181);
  REQUIRE(cut.size() == 181);
  CHECK(std::abs(cut.front().elevation_rad + 0.5 * pi) <= 1e-15);
  CHECK(std::abs(cut[90].gain_dbi - 2.15) <= 0.03);
  // Mean of the gain over the sphere is the efficiency.
  const AntennaSolution lossy = solve_antenna(whip_with_wire(), ground_by_name("wet"), f);
  double mean = 0.0;
  for (const wire::detail::GaussPoint& c : wire::detail::gauss_rule(24)) {
    for (int p = 0; p < 24; ++p) mean += c.weight / 24.0 * 0.5 * antenna_gain(lossy, std::acos(c.x), two_pi * p / 24.0);
  }
  CHECK(std::abs(mean / lossy.share.radiated - 1.0) <= 1e-3);
  CHECK(vertical_pattern(lossy, 0.0, 91).front().elevation_rad == 0.0);
  CHECK_THROWS_AS(far_field(lossy, 2.0, 0.0), DomainError);
  CHECK_THROWS_AS(vertical_pattern(lossy, 0.0, 1), DomainError);
  CHECK_THROWS_AS(down_power_w(lossy), DomainError);
  // Short whip: half its height.
  CHECK(std::abs(effective_height_m(whip) - 0.5) <= 0.02);
}

TEST_CASE("a pattern has the gain at each of its elevations, from the horizon or from straight down to straight up") {
  for (const bool ground : {true, false}) {
    const AntennaSolution s = ground ? solve_antenna(whip_with_wire(0.3), ground_by_name("average"), 14e6)
                                     : solve_antenna(dipole(5.0, 0.001, 0.02), free_space(), 14e6);
    const std::vector<PatternPoint> pattern = vertical_pattern(s, 0.7, 13);
    REQUIRE(pattern.size() == 13);
    const double lowest = ground ? 0.0 : -0.5 * pi;
    for (std::size_t n = 0; n < 13; ++n) {
      const double elevation = lowest + (0.5 * pi - lowest) * static_cast<double>(n) / 12.0;
      INFO(elevation);
      CHECK(std::abs(pattern[n].elevation_rad - elevation) <= 1e-12);
      if (n == 0 || n == 12) continue;  // nothing of an upright wire goes up, nor along soil
      CHECK(std::abs(pattern[n].gain_dbi - elevation_gain_dbi(s, elevation, 0.7)) <= 1e-9);
      CHECK(std::abs(pattern[n].gain_dbi - 10.0 * std::log10(antenna_gain(s, 0.5 * pi - elevation, 0.7))) <= 1e-9);
    }
    const double low = ground ? 0.1 : -0.5, high = 0.9;
    CHECK(std::abs(mean_gain_dbi(s, low, high) - 10.0 * std::log10(mean_gain(s, low, high))) <= 1e-12);
  }
  CHECK_THROWS_AS(vertical_pattern(solve_antenna(monopole(2.4, 0.002), perfect_ground(), 7e6), 0.0, 1), DomainError);
}

TEST_CASE("sums along lines are those of each of their points") {
  std::mt19937 random(7);
  const auto from_to = [&](double from, double to) { return std::uniform_real_distribution<double>(from, to)(random); };
  const auto vector_of = [&](double size) {
    return Vec3{from_to(-size, size), from_to(-size, size), from_to(-size, size)};
  };
  const auto number = [&] { return cdouble{from_to(-1.0, 1.0), from_to(-1.0, 1.0)}; };
  using Vector = std::array<cdouble, 3>;
  for (int trial = 0; trial < 300; ++trial) {
    const double k = std::pow(10.0, from_to(-3.0, 1.0)), apart2 = trial % 3 == 0 ? 1e-6 : 0.0;
    const Vec3 at = vector_of(1.0);
    LineSums sums(k);
    PotentialSums expected{};
    double most = 0.0, steepest = 0.0;
    for (int lines = 0; lines < 1 + trial % 3; ++lines) {
      const ChargedLine line{vector_of(std::pow(10.0, from_to(-2.0, 2.5))),
                             vector_of(1.0),
                             vector_of(1.0),
                             {number(), number()},
                             {number(), number()},
                             number()};
      LineNodes nodes;
      for (int n = 0; n < 1 + trial % 9; ++n) {
        nodes.x.push_back(from_to(0.0, 1.0));
        nodes.weight.push_back(from_to(0.0, 1.0));
      }
      for (std::size_t n = 0; n < nodes.x.size(); ++n) {
        const double x = nodes.x[n];
        const Vec3 from = at - (line.start + x * line.whole);
        const std::array<double, 3> d{from.x_m, from.y_m, from.z_m};
        const double r = std::sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2] + apart2);
        const cdouble g = nodes.weight[n] * std::exp(cdouble(0.0, -k * r)) / r, s = -cdouble(1.0, k * r) / (r * r) * g;
        const cdouble level = line.level[0] + x * line.level[1], upright = line.upright[0] + x * line.upright[1];
        const Vector current{level * line.direction.x_m, level * line.direction.y_m, upright * line.direction.z_m};
        for (std::size_t c = 0; c < 3; ++c) {
          const std::size_t a = (c + 1) % 3, b = (c + 2) % 3;
          expected.potential[c] += g * current[c];
          expected.slope[c] += line.charge * s * d[c];
          expected.curl[c] += s * (d[a] * current[b] - d[b] * current[a]);
        }
        most = std::max(most, std::abs(g));
        steepest = std::max(steepest, std::abs(s) * r);
      }
      sums.add(nodes, at, apart2, line);
    }
    const PotentialSums found = sums.total();
    INFO("trial " << trial);
    for (std::size_t c = 0; c < 3; ++c) {
      CHECK(std::abs(found.potential[c] - expected.potential[c]) <= 1e-12 * most);
      CHECK(std::abs(found.slope[c] - expected.slope[c]) <= 1e-12 * steepest);
      CHECK(std::abs(found.curl[c] - expected.curl[c]) <= 1e-12 * steepest);
    }
  }
}
