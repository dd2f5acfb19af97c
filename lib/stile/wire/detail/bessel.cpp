#include <stile/wire/detail/bessel.hpp>

#include <boost/math/special_functions/bessel.hpp>

namespace stile::wire::detail {

namespace {

double exact(int order, double x) {
  using namespace boost::math::policies;
  return boost::math::cyl_bessel_j(order, x, policy<promote_double<false>>{});
}

}  // namespace

BesselSeries::BesselSeries() {
  all_.push_back({1.0, 0.0, -0.25, 0.0, 1.0 / 64.0, 0.0});
  for (int i = 1; i <= static_cast<int>(last * per_unit); ++i) {
    // From x y'' + y' + x y = 0: (n + 2)(n + 1) x c[n+2] = -(n + 1)^2 c[n+1] - x c[n] - c[n-1].
    const double x = i / per_unit;
    std::array<double, terms> c{exact(0, x), -exact(1, x)};
    for (std::size_t n = 0; n + 2 < terms; ++n) {
      const double m = static_cast<double>(n) + 1.0;
      c[n + 2] = -(m * m * c[n + 1] + x * c[n] + (n > 0 ? c[n - 1] : 0.0)) / (m * (m + 1.0) * x);
    }
    all_.push_back(c);
  }
}

Bessel01 BesselSeries::beyond(double x) { return {exact(0, x), exact(1, x)}; }

const BesselSeries& bessel_series() {
  static const BesselSeries series;
  return series;
}

}  // namespace stile::wire::detail
