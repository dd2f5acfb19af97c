#include <stile/wire/detail/gauss.hpp>

#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::wire::detail {

std::vector<GaussPoint> gauss_rule(int n) {
  require(n >= 1 && n <= 512, "a Gauss rule has 1..512 points");
  std::vector<GaussPoint> rule(static_cast<std::size_t>(n));
  for (int i = 1; i <= (n + 1) / 2; ++i) {
    double x = std::cos(pi * (i - 0.25) / (n + 0.5)), slope = 1.0;
    for (int step = 0; step < 8; ++step) {
      double p = 1.0, before = 0.0;
      for (int m = 1; m <= n; ++m) {
        const double next = ((2.0 * m - 1.0) * x * p - (m - 1.0) * before) / m;
        before = p;
        p = next;
      }
      slope = n * (x * p - before) / (x * x - 1.0);
      const double by = p / slope;
      x -= by;
      if (std::abs(by) < 1e-15) break;
    }
    const double weight = 1.0 / ((1.0 - x * x) * slope * slope);
    rule[static_cast<std::size_t>(i - 1)] = {0.5 * (1.0 - x), weight};
    rule[static_cast<std::size_t>(n - i)] = {0.5 * (1.0 + x), weight};
  }
  return rule;
}

PairRule pair_rule(const std::vector<GaussPoint>& rule) {
  PairRule pairs;
  pairs.points = rule.size() * rule.size();
  const auto add = [&](double x, double y, double weight) {
    pairs.x.push_back(x);
    pairs.y.push_back(y);
    for (const std::size_t i : {0U, 1U}) {
      for (const std::size_t j : {0U, 1U})
        pairs.weight[i][j].push_back(weight * (i == 0 ? 1.0 - x : x) * (j == 0 ? 1.0 - y : y));
    }
  };
  for (const GaussPoint& a : rule) {
    for (const GaussPoint& b : rule) add(a.x, b.x, a.weight * b.weight);
  }
  while (pairs.x.size() % 4 != 0) add(0.0, 0.0, 0.0);
  return pairs;
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
