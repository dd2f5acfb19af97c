#include <stile/wire/detail/gauss.hpp>

#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::wire::detail {

std::vector<GaussPoint> gauss_rule(int n) {
  require(n >= 1 && n <= 512, "a Gauss rule has 1..512 points");
  std::vector<GaussPoint> rule;
  for (int i = n; i >= 1; --i) {
    double x = std::cos(pi * (i - 0.25) / (n + 0.5)), slope = 1.0;
    for (int step = 0; step < 8; ++step) {
      double p = 1.0, before = 0.0;
      for (int m = 1; m <= n; ++m) {
        const double next = ((2.0 * m - 1.0) * x * p - (m - 1.0) * before) / m;
        before = p;
        p = next;
      }
      slope = n * (x * p - before) / (x * x - 1.0);
      x -= p / slope;
    }
    rule.push_back({0.5 * (1.0 + x), 1.0 / ((1.0 - x * x) * slope * slope)});
  }
  return rule;
}

std::vector<GaussPoint> clustered_rule(int n) {
  std::vector<GaussPoint> rule = gauss_rule(n);
  for (GaussPoint& p : rule) {
    const double t = p.x;
    p.weight *= 30.0 * t * t * (1.0 - t) * (1.0 - t);
    p.x = t * t * t * (10.0 - 15.0 * t + 6.0 * t * t);
  }
  return rule;
}

}  // namespace stile::wire::detail
