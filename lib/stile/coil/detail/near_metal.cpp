#include <stile/coil/detail/near_metal.hpp>

#include <algorithm>
#include <cmath>
#include <map>

#include <boost/math/special_functions/bessel.hpp>

#include <stile/base/constants.hpp>
#include <stile/coil/detail/elliptic.hpp>

namespace stile::coil::detail {

namespace {

/// Sum over the points of the second ring, by the trapezoid: exponentially convergent, the faster the wider the gap.
template <typename Value>
double round_the_ring(double radius, double aside, const Value& value) {
  const double gap = (aside - 2.0 * radius) / radius;
  const int half = std::clamp(static_cast<int>(std::ceil(24.0 / std::sqrt(std::min(gap, 1.0)))), 24, 2000);
  double sum = 0.0;
  for (int i = 0; i <= half; ++i) {  // upper half; the lower is its mirror image
    const double angle = pi * i / half, c = std::cos(angle);
    const double rho = std::sqrt(aside * aside + radius * radius + 2.0 * aside * radius * c);
    sum += (i == 0 || i == half ? 0.5 : 1.0) * value(rho, c);
  }
  return sum / half;
}

/// A function of the distance between rings, computed once for each distance.
template <typename Function>
class ByDistance {
public:
  ByDistance(double scale, Function function) : scale_(scale), function_(function) {}
  double operator()(double dz) {
    const long long key = std::llround(std::abs(dz) / scale_ * 1e12);
    const auto known = kept_.find(key);
    return known != kept_.end() ? known->second : kept_.emplace(key, function_(std::abs(dz))).first->second;
  }

private:
  double scale_;
  Function function_;
  std::map<long long, double> kept_;
};

template <typename Entry>
SquareMatrix<double> symmetric(const std::vector<double>& z, const Entry& entry) {
  SquareMatrix<double> m(z.size());
  for (std::size_t i = 0; i < z.size(); ++i) {
    for (std::size_t j = 0; j <= i; ++j) m(i, j) = m(j, i) = entry(i, j);
  }
  return m;
}

/// A can as the formulas want it: radius, height between its lids, rings above the lower lid.
struct Inside {
  double radius, height;
  std::vector<double> above;
};

Inside inside_can(const Winding& winding, const std::vector<double>& z, double back_m) {
  // Fields in a tube die off as exp(-2.4 z/b) and faster: lids 15 radii away are none.
  constexpr double far = 15.0;
  const double length = winding_length_m(winding), radius = 0.5 * winding.can->diameter_m + back_m;
  const double spare = winding.can->length_m > 0.0 ? 0.5 * (winding.can->length_m - length) + back_m : far * radius;
  Inside in{radius, length + 2.0 * spare, {}};
  for (const double place : z) in.above.push_back(place - winding.sections.front().start_m + spare);
  return in;
}

/// Sum over the waves that fit between the lids: 2/h sum of amplitude(k) sin(k z_i) sin(k z_j), k = n pi/h.
template <typename Amplitude>
SquareMatrix<double> wall_series(const Inside& in, double ring_radius, const Amplitude& amplitude) {
  const int waves = static_cast<int>(std::ceil(20.0 * in.height / (pi * (in.radius - ring_radius))));  // to exp(-40)
  SquareMatrix<double> sum(in.above.size());
  std::vector<double> sines(in.above.size());
  for (int n = 1; n <= waves; ++n) {
    const double k = pi * n / in.height, weight = 2.0 / in.height * amplitude(k);
    for (std::size_t i = 0; i < sines.size(); ++i) sines[i] = std::sin(k * in.above[i]);
    for (std::size_t i = 0; i < sines.size(); ++i) {
      for (std::size_t j = 0; j <= i; ++j) sum(i, j) += weight * sines[i] * sines[j];
    }
  }
  for (std::size_t i = 0; i < sum.n; ++i) {
    for (std::size_t j = 0; j < i; ++j) sum(j, i) = sum(i, j);
  }
  return sum;
}

constexpr int lid_images = 64;  // on each side

/// Images of both lids: of rings at dz and at the sum of heights, the ring itself left out.
template <typename Kernel>
SquareMatrix<double> lid_series(const Inside& in, const Kernel& kernel) {
  const double period = 2.0 * in.height;
  // Without the value at the image's own distance, which is the same in both sums: the sum then converges.
  ByDistance sum(in.height, [&](double u) {
    double s = 0.0;
    for (int m = 1; m <= lid_images; ++m)
      s += kernel(m * period - u) + kernel(m * period + u) - 2.0 * kernel(m * period);
    return s;
  });
  return symmetric(in.above, [&](std::size_t i, std::size_t j) {
    const double apart = in.above[i] - in.above[j], together = in.above[i] + in.above[j];
    return sum(apart) - sum(together) - kernel(together);
  });
}

SquareMatrix<double> plus(SquareMatrix<double> a, const SquareMatrix<double>& b) {
  for (std::size_t i = 0; i < a.values.size(); ++i) a.values[i] += b.values[i];
  return a;
}

double bessel_i(int order, double x) { return boost::math::cyl_bessel_i(order, x); }
double bessel_k(int order, double x) { return boost::math::cyl_bessel_k(order, x); }

}  // namespace

double ring_mutual_aside(double radius, double aside, double dz) {
  // Vector potential of the first ring, M/(2 pi rho), times the second ring's direction.
  return radius * round_the_ring(radius, aside, [&](double rho, double c) {
           return ring_mutual(radius, rho, dz) * (radius + aside * c) / (rho * rho);
         });
}

double ring_potential_aside(double radius, double aside, double dz) {
  return round_the_ring(radius, aside, [&](double rho, double) { return ring_potential(radius, rho, dz); });
}

bool beside_or_can(const Winding& winding) { return winding.beside || winding.can; }

SquareMatrix<double> metal_inductance_h(const Winding& winding, const std::vector<double>& z, double back_m) {
  const double a = 0.5 * winding.diameter_m;
  if (winding.beside) {
    ByDistance mutual(a, [&](double dz) { return ring_mutual_aside(a, 2.0 * (winding.beside->axis_m + back_m), dz); });
    return symmetric(z, [&](std::size_t i, std::size_t j) { return mutual(z[i] - z[j]); });
  }
  if (winding.can) {
    // Ring in a tube (W. R. Smythe, Static and Dynamic Electricity, from memory): what the wall adds to the vector
    // potential is -mu0 a/pi times the integral of I1(k rho) I1(k a) K1(k b)/I1(k b) cos(k z) over k; lids make it a
    // sum.
    const Inside in = inside_can(winding, z, back_m);
    return plus(wall_series(in, a,
                            [&](double k) {
                              const double i = bessel_i(1, k * a);
                              return -two_pi * mu0_h_m * a * a * i * i * bessel_k(1, k * in.radius) /
                                     bessel_i(1, k * in.radius);
                            }),
                lid_series(in, [&](double dz) { return ring_mutual(a, a, dz); }));
  }
  if (winding.plane && winding.plane->mirrors_magnetic) {
    return symmetric(z, [&](std::size_t i, std::size_t j) {
      return -ring_mutual(a, a, z[i] + z[j] - 2.0 * (winding.plane->z_m - back_m));
    });
  }
  return SquareMatrix<double>(z.size());
}

SquareMatrix<double> metal_potential(const Winding& winding, const std::vector<double>& z) {
  const double a = 0.5 * winding.diameter_m;
  if (winding.beside) {
    ByDistance potential(a, [&](double dz) { return -ring_potential_aside(a, 2.0 * winding.beside->axis_m, dz); });
    return symmetric(z, [&](std::size_t i, std::size_t j) { return potential(z[i] - z[j]); });
  }
  if (winding.can) {
    const Inside in = inside_can(winding, z, 0.0);
    return plus(wall_series(in, a,
                            [&](double k) {
                              const double i = bessel_i(0, k * a);
                              return -i * i * bessel_k(0, k * in.radius) / bessel_i(0, k * in.radius) /
                                     (two_pi * eps0_f_m);
                            }),
                lid_series(in, [&](double dz) { return ring_potential(a, a, dz); }));
  }
  return SquareMatrix<double>(z.size());
}

SquareMatrix<double> metal_inductance_slope(const Winding& winding, const std::vector<double>& z) {
  const double a = 0.5 * winding.diameter_m;
  double gap = a;
  if (winding.beside) gap = winding.beside->axis_m - a;
  if (winding.can) gap = 0.5 * winding.can->diameter_m - a;
  if (winding.plane) gap = winding.sections.front().start_m - winding.plane->z_m;
  const double step = 1e-4 * std::min(gap, a);
  SquareMatrix<double> slope = metal_inductance_h(winding, z, step);
  const SquareMatrix<double> less = metal_inductance_h(winding, z, -step);
  for (std::size_t i = 0; i < slope.values.size(); ++i)
    slope.values[i] = (slope.values[i] - less.values[i]) / (2.0 * step);
  return slope;
}

}  // namespace stile::coil::detail
