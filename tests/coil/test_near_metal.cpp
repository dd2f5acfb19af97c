#include <cmath>
#include <numeric>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/analysis.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

namespace {

SquareMatrix<double> added_h(const Winding& near) {
  Winding alone = near;
  alone.plane.reset(), alone.beside.reset(), alone.can.reset(), alone.near_metal.reset();
  SquareMatrix<double> added = low_frequency_inductance_h(near);
  const SquareMatrix<double> free = low_frequency_inductance_h(alone);
  for (std::size_t i = 0; i < added.values.size(); ++i) added.values[i] -= free.values[i];
  return added;
}

/// Resistances that the metal adds, ohm.
SquareMatrix<double> added_ohm(const Winding& near, double frequency_hz) {
  Winding without_loss = near;
  without_loss.near_metal.reset();
  const RingOptions even{CurrentModel::even, 0};
  const SquareMatrix<cdouble> with = turn_impedance_ohm(near, frequency_hz, even),
                              without = turn_impedance_ohm(without_loss, frequency_hz, even);
  SquareMatrix<double> added(with.n);
  for (std::size_t i = 0; i < added.values.size(); ++i) added.values[i] = (with.values[i] - without.values[i]).real();
  return added;
}

double surface_ohm(double frequency_hz) {
  const double rho = conductor::resistivity_ohm_m(conductor::metal_by_name("aluminium"), 20.0);
  return rho / conductor::skin_depth_m(rho, frequency_hz);
}

Winding near_plane(double turns, double axis_m) {
  Winding w = plain_winding(turns, 0.04, 0.002, 0.001);
  w.beside = PlaneBeside{axis_m};
  w.near_metal = conductor::metal_by_name("aluminium");
  return w;
}

Winding in_can(double turns, double diameter_m, double length_m = 0.0) {
  Winding w = plain_winding(turns, 0.04, 0.002, 0.001);
  w.can = Can{diameter_m, length_m};
  w.near_metal = conductor::metal_by_name("aluminium");
  return w;
}

struct Vector {
  double x, y, z;
};

/// Field of one ampere round a ring about the z axis, by a sum over its pieces, A/m.
Vector ring_field(double radius, Vector at) {
  constexpr int pieces = 400;
  Vector h{0.0, 0.0, 0.0};
  for (int i = 0; i < pieces; ++i) {
    const double t = two_pi * i / pieces, c = std::cos(t), s = std::sin(t), step = two_pi / pieces * radius;
    const Vector r{at.x - radius * c, at.y - radius * s, at.z};
    const double d3 = std::pow(r.x * r.x + r.y * r.y + r.z * r.z, 1.5) * 4.0 * pi;
    h.x += step * (c * r.z) / d3;
    h.y += step * (s * r.z) / d3;
    h.z += step * (-s * r.y - c * r.x) / d3;
  }
  return h;
}

/// Solves a symmetric positive definite system by conjugate gradients.
std::vector<double> solved(const SquareMatrix<double>& m, const std::vector<double>& right) {
  const auto dot = [](const std::vector<double>& a, const std::vector<double>& b) {
    return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
  };
  std::vector<double> x(m.n, 0.0), rest = right, along = right, image(m.n);
  for (double square = dot(rest, rest), first = square; square > 1e-24 * first;) {
    for (std::size_t i = 0; i < m.n; ++i)
      image[i] = std::inner_product(along.begin(), along.end(), &m.values[i * m.n], 0.0);
    const double step = square / dot(along, image), before = square;
    for (std::size_t i = 0; i < m.n; ++i) x[i] += step * along[i], rest[i] -= step * image[i];
    square = dot(rest, rest);
    for (std::size_t i = 0; i < m.n; ++i) along[i] = rest[i] + square / before * along[i];
  }
  return x;
}

}  // namespace

TEST_CASE("metal far away changes nothing") {
  const double free_h = sum_of(low_frequency_inductance_h(plain_winding(10, 0.04, 0.002, 0.001)));
  CHECK(std::abs(sum_of(added_h(near_plane(10, 4.0)))) <= 1e-6 * free_h);
  CHECK(std::abs(sum_of(added_h(in_can(10, 8.0)))) <= 1e-6 * free_h);
  CHECK(std::abs(sum_of(added_h(in_can(10, 8.0, 8.0)))) <= 1e-6 * free_h);
  CHECK(sum_of(added_ohm(near_plane(10, 4.0), 7e6)) <= 1e-7);
  CHECK(sum_of(added_ohm(in_can(10, 8.0), 7e6)) <= 1e-7);
}

TEST_CASE("a small ring sees the image of a dipole") {
  // Two equal dipoles m = pi a^2 at y side by side: -mu0 m^2/(4 pi y^3), y twice the distance; next order in (a/y)^2.
  const double a = 0.02, d = 1.0;
  CHECK(off(sum_of(added_h(near_plane(1, d))), -mu0_h_m * pi * std::pow(a, 4) / (4.0 * std::pow(2.0 * d, 3))) <= 1e-3);
  Winding behind = plain_winding(1, 2.0 * a, 0.002, 0.001);
  behind.plane = Plane{-d + 0.001};  // the turn's middle stands half a pitch above the start
  CHECK(off(sum_of(added_h(behind)), -mu0_h_m * pi * std::pow(a, 4) / (2.0 * std::pow(2.0 * d, 3))) <= 1e-3);
}

TEST_CASE("a long coil in a long can has its flux return between coil and can") {
  // B inside the coil times pi a^2 comes back through pi (b^2 - a^2): L per length is mu0 n^2 pi a^2 (1 - a^2/b^2).
  // Ends cancel between a coil and one of twice its turns, the turns' own fields between two cans.
  const double a = 0.02, pitch = 0.002, b1 = 0.03, b2 = 0.05;
  const auto middle = [&](double b) {
    return sum_of(low_frequency_inductance_h(in_can(400, 2.0 * b))) -
           sum_of(low_frequency_inductance_h(in_can(200, 2.0 * b)));
  };
  const double expected = mu0_h_m * 200.0 * pi * a * a / pitch * (a * a / (b2 * b2) - a * a / (b1 * b1));
  CHECK(off(middle(b1) - middle(b2), expected) <= 1e-6);
}

TEST_CASE("a can is many rings closed in themselves") {
  // Second route: the tube as 320 rings side by side; wires of this radius act as a sheet. It falls short of the tube
  // by its finite length and coarseness.
  const Winding w = in_can(3, 0.07);
  constexpr std::size_t rings = 320;
  const double b = 0.035, start = -0.2, width = 0.406 / rings, wire = width / two_pi;
  SquareMatrix<double> wall(rings);
  std::vector<std::vector<double>> flux(3), current;
  for (std::size_t i = 0; i < rings; ++i) {
    const double z = start + (static_cast<double>(i) + 0.5) * width;
    for (std::size_t j = 0; j < rings; ++j) {
      wall(i, j) = i == j ? mu0_h_m * b * (std::log(8.0 * b / wire) - 2.0)
                          : ring_mutual_inductance_h(b, b, width * (static_cast<double>(i) - static_cast<double>(j)));
    }
    for (std::size_t t = 0; t < 3; ++t)
      flux[t].push_back(ring_mutual_inductance_h(b, 0.02, z - 0.001 - 0.002 * static_cast<double>(t)));
  }
  current.reserve(3);
  for (const std::vector<double>& f : flux) current.push_back(solved(wall, f));
  const SquareMatrix<double> ours = added_h(w), lost = added_ohm(w, 7e6);
  const double ring_ohm = surface_ohm(7e6) * two_pi * b / width;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      const auto dot = [](const std::vector<double>& x, const std::vector<double>& y) {
        return std::inner_product(x.begin(), x.end(), y.begin(), 0.0);
      };
      CHECK(off(ours(i, j), -dot(flux[i], current[j])) <= 2e-3);
      CHECK(off(lost(i, j), ring_ohm * dot(current[i], current[j])) <= 2e-3);
    }
  }
}

TEST_CASE("lids near make images, far lids are none") {
  const double near = sum_of(added_h(in_can(6, 0.07, 0.03))), wide = sum_of(added_h(in_can(6, 0.07, 1.0))),
               open = sum_of(added_h(in_can(6, 0.07)));
  CHECK(near < 1.05 * open);
  CHECK(off(wide, open) <= 1e-9);
  // A can much wider than long is two planes across the axis: images at even distances, alternately turned round.
  const Winding flat = in_can(1, 2.0, 0.03);
  double images = 0.0;
  for (int i = 1; i < 4000; ++i) {
    const double mutual = ring_mutual_inductance_h(0.02, 0.02, 0.03 * i);
    images += 2.0 * (i % 2 == 1 ? -mutual : mutual);
  }
  CHECK(off(sum_of(added_h(flat)), images) <= 1e-6);
}

TEST_CASE("the loss of metal is its surface resistance under the field of coil and image") {
  // Second route: the field of each turn by a sum over pieces, doubled along the plane, squared and summed over it.
  const double f = 7e6, d = 0.03, a = 0.02;
  SECTION("a plane beside") {
    const SquareMatrix<double> ours = added_ohm(near_plane(2, d), f);
    constexpr double step = 0.002, reach = 0.3;
    const int n = static_cast<int>(reach / step);
    double own = 0.0, mutual = 0.0;
    for (int i = -n; i <= n; ++i) {
      for (int k = -n; k <= n; ++k) {
        const Vector h = ring_field(a, {d, i * step, k * step}), g = ring_field(a, {d, i * step, k * step - 0.002});
        own += 4.0 * (h.y * h.y + h.z * h.z) * step * step;
        mutual += 4.0 * (h.y * g.y + h.z * g.z) * step * step;
      }
    }
    CHECK(off(ours(0, 0), surface_ohm(f) * own) <= 1e-3);
    CHECK(off(ours(0, 1), surface_ohm(f) * mutual) <= 1e-3);
  }
  SECTION("a plane behind") {
    Winding w = plain_winding(1, 2.0 * a, 0.002, 0.001);
    w.plane = Plane{0.001 - d};
    w.near_metal = conductor::metal_by_name("aluminium");
    double own = 0.0;
    constexpr double step = 0.0005;
    for (double rho = 0.5 * step; rho < 0.5; rho += step) {
      const Vector h = ring_field(a, {rho, 0.0, -d});
      own += 4.0 * h.x * h.x * two_pi * rho * step;
    }
    CHECK(off(sum_of(added_ohm(w, f)), surface_ohm(f) * own) <= 1e-3);
  }
}

TEST_CASE("filaments stand for wires beside metal within what the text says") {
  // A plane across the axis is computed at the wire's surface and by filaments. So the error of filaments is known.
  for (const double gap : {0.002, 0.003}) {  // wire's middle to the plane, wire of 1 mm
    Winding w = plain_winding(10, 0.04, 0.002, 0.001);
    const double alone = sum_of(perfect_inductance_h(w));
    w.plane = Plane{0.001 - gap};
    const double surface = sum_of(perfect_inductance_h(w)) - alone, filament = sum_of(added_h(w));
    CHECK(off(filament, surface) <= 0.03);
  }
}

TEST_CASE("charges in a can and beside a plane are mirrored") {
  // A capacitance to the metal is added, all the more the nearer; far away the coil's own is left.
  const auto all = [](const Winding& w) { return sum_of(node_capacitance_f(w, ChargeModel::thin)); };
  const double free = all(plain_winding(10, 0.04, 0.002, 0.001));
  CHECK(off(all(near_plane(10, 40.0)), free) <= 1e-3);
  CHECK(all(near_plane(10, 0.03)) > 1.3 * free);
  CHECK(all(in_can(10, 0.07)) > all(in_can(10, 0.14)));
  // A long coil in a long can: 2 pi eps0/ln(b/a) per length, ends cancelling; a row of wires is a sheet but for
  // p/(2 pi a) ln(p/(2 pi r)).
  const double longer = all(in_can(200, 0.08)) - all(in_can(100, 0.08));
  const double grid = 0.002 / (two_pi * 0.02) * std::log(0.002 / (two_pi * 0.0005));
  CHECK(off(longer, two_pi * eps0_f_m * 0.2 / (std::log(2.0) + grid)) <= 5e-3);
}

TEST_CASE("metal near a coil lowers its inductance and its Q") {
  const double f = 7.1e6;
  const Winding alone = plain_winding(20, 0.04, 0.002, 0.001);
  const CoilPoint free = analyse(alone, whole(alone, Grounded::from), f);
  const auto left = [&](const Winding& near) {
    const CoilPoint point = analyse(near, whole(near, Grounded::from), f);
    CHECK(point.self_resonance_hz > 0.0);
    return Range{point.q / free.q, point.inductance_h / free.inductance_h};
  };
  // What the help of stile-coil says: a can half as wide again takes a third of the inductance and half of Q.
  const Range can = left(in_can(20, 0.06)), closed = left(in_can(20, 0.06, 0.07)), plane = left(near_plane(20, 0.025));
  CHECK(std::abs(can.high - 2.0 / 3.0) <= 0.02);
  CHECK(std::abs(can.low - 0.5) <= 0.04);
  CHECK(closed.high < can.high);
  CHECK(plane.high < 0.97);
  CHECK(plane.low < plane.high);
}

TEST_CASE("metal that touches the coil is refused") {
  const auto refused = [](const Winding& w) {
    try {
      check(w);
    } catch (const DomainError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  CHECK(refused(near_plane(5, 0.0205)).find("0.0205 m beside the axis: legal is above") != std::string::npos);
  CHECK(refused(near_plane(5, 0.0206)).empty());
  CHECK(refused(in_can(5, 0.044)).find("a can of 0.044 m inside: legal is above") != std::string::npos);
  CHECK(refused(in_can(5, 0.06, 0.01)).find("a can 0.01 m long") != std::string::npos);
  Winding w = in_can(5, 0.06);
  w.beside = PlaneBeside{0.1};
  CHECK(refused(w).find("one of them") != std::string::npos);
  w.beside.reset();
  w.near_metal = conductor::metal_by_name("steel");
  CHECK(refused(w).find("magnetic") != std::string::npos);
  w.can.reset();
  w.near_metal = conductor::metal_by_name("copper");
  CHECK(refused(w).find("without a plane or can") != std::string::npos);
}
