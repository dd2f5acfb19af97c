#include <stile/base/roots.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>
#include <vector>

#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/toms748_solve.hpp>

#include <stile/base/errors.hpp>

namespace stile {

namespace {

struct Point {
  double x = 0.0;
  double f = 0.0;
};

/// The two ends of a sign change, kept from the evaluations themselves: Boost returns the ends without their values.
struct Bracket {
  Point low;
  Point high;

  void shrink(Point p) {
    if (std::signbit(p.f) == std::signbit(low.f))
      low = p;
    else
      high = p;
  }
  const Point& best() const { return std::abs(low.f) <= std::abs(high.f) ? low : high; }
  double jump() const { return std::abs(low.f) + std::abs(high.f); }
  double width() const { return high.x - low.x; }
};

bool neighbours(double a, double b) { return std::nextafter(a, b) >= b; }

/// A continuous function has next to no jump left across a bracket shrunk by twelve decimals, even where it is as
/// steep as a cube root (1e-4 of the first jump remains); a pole or a step keeps its own. A bracket that was only a
/// few doubles wide from the start tells a pole by growth alone.
bool is_discontinuous(const Bracket& first, const Bracket& last) {
  const double ratio = last.jump() / first.jump();
  if (last.width() < 1e-12 * first.width()) return ratio > 1e-3;
  return ratio > 1.0 && neighbours(last.low.x, last.high.x);
}

}  // namespace

Root find_root(const std::function<double(double)>& f, double low, double high, const RootOptions& options) {
  require(std::isfinite(low) && std::isfinite(high) && low < high, "low and high must be finite with low < high");
  require(options.residual >= 0.0, "residual must be >= 0");
  require(options.max_evaluations >= 2, "max_evaluations must be >= 2: one for each end");

  Root root;
  const auto evaluate = [&](double x) {
    ++root.evaluations;
    return Point{x, f(x)};
  };
  const auto is_zero = [&](double value) { return std::abs(value) <= options.residual; };
  const auto end = [&](RootStatus status, Point p) {
    root.status = status;
    root.x = p.x;
    root.residual = p.f;
    return root;
  };

  Bracket bracket;
  bracket.low = evaluate(low);
  if (is_zero(bracket.low.f)) return end(RootStatus::found, bracket.low);
  bracket.high = evaluate(high);
  if (is_zero(bracket.high.f)) return end(RootStatus::found, bracket.high);
  if (!std::isfinite(bracket.low.f)) return end(RootStatus::no_bracket, bracket.low);
  if (!std::isfinite(bracket.high.f)) return end(RootStatus::no_bracket, bracket.high);
  if (std::signbit(bracket.low.f) == std::signbit(bracket.high.f)) return end(RootStatus::no_bracket, bracket.best());
  if (root.evaluations == options.max_evaluations) return end(RootStatus::no_converge, bracket.best());

  // Boost stops at a value of zero: that is how a root by residual, a value that is not finite and a step that is not
  // a number end the search.
  // Boost 1.74 may stall a few doubles short of a root below zero (its test for a small interval takes a for |a|), so
  // the search runs over |x|, in the half of a bracket across zero that holds the sign change.
  if (low < 0.0 && high > 0.0) {
    const Point zero = evaluate(0.0);
    if (std::isinf(zero.f)) return end(RootStatus::pole, zero);
    if (std::isnan(zero.f)) return end(RootStatus::no_converge, bracket.best());
    if (is_zero(zero.f)) return end(RootStatus::found, zero);
    bracket.shrink(zero);
    if (root.evaluations == options.max_evaluations) return end(RootStatus::no_converge, bracket.best());
  }
  const double sign = bracket.low.x < 0.0 ? -1.0 : 1.0;
  const Point near = sign > 0.0 ? bracket.low : bracket.high, far = sign > 0.0 ? bracket.high : bracket.low;
  const Bracket first = bracket;
  Point last;
  bool stopped = false;
  const auto step = [&](double distance) {
    const double x = sign * distance;
    last = std::isfinite(x) ? evaluate(x) : Point{x, std::numeric_limits<double>::quiet_NaN()};
    stopped = !std::isfinite(last.f) || is_zero(last.f);
    if (stopped) return 0.0;
    bracket.shrink(last);
    return last.f;
  };
  auto steps = static_cast<std::uintmax_t>(options.max_evaluations - root.evaluations);
  boost::math::tools::toms748_solve(step, std::abs(near.x), std::abs(far.x), near.f, far.f, neighbours, steps);

  if (stopped && std::isinf(last.f)) return end(RootStatus::pole, last);
  if (stopped && std::isnan(last.f)) return end(RootStatus::no_converge, bracket.best());
  if (stopped) return end(RootStatus::found, last);
  if (is_discontinuous(first, bracket)) return end(RootStatus::pole, bracket.best());
  const bool resolved = neighbours(bracket.low.x, bracket.high.x);
  return end(resolved ? RootStatus::found : RootStatus::no_converge, bracket.best());
}

Minimum find_minimum(const std::function<double(double)>& f, double low, double high, int samples) {
  require(std::isfinite(high - low) && low < high, "low and high must be finite with low < high");
  require(samples >= 3, "samples must be >= 3");

  Minimum minimum;
  constexpr double infinity = std::numeric_limits<double>::infinity();
  const auto evaluate = [&](double x) {
    ++minimum.evaluations;
    const double value = f(x);
    if (std::isnan(value)) return infinity;
    return value;
  };
  const auto place = [&](int i) { return i == samples ? high : low + (high - low) * i / samples; };

  std::vector<double> values;
  double worst = -infinity;
  int best = 0;
  for (int i = 0; i <= samples; ++i) {
    values.push_back(evaluate(place(i)));
    if (std::isfinite(values.back())) worst = std::max(worst, values.back());
    if (values.back() < values[static_cast<std::size_t>(best)]) best = i;
  }
  minimum.x = place(best);
  minimum.value = values[static_cast<std::size_t>(best)];
  if (std::isfinite(minimum.value)) {
    // Boost's tolerance has an absolute part made for x near 1, so the search runs over 0..1; its parabolas cannot
    // take infinity, so that reads as the worst finite sample.
    const double left = place(std::max(best - 1, 0));
    const double right = place(std::min(best + 1, samples));
    const auto scaled = [&](double t) {
      const double value = evaluate(left + (right - left) * t);
      return std::isinf(value) ? worst : value;
    };
    std::uintmax_t steps = 200;
    const auto [t, value] =
        boost::math::tools::brent_find_minima(scaled, 0.0, 1.0, std::numeric_limits<double>::digits, steps);
    if (value < minimum.value) {
      minimum.x = left + (right - left) * t;
      minimum.value = value;
    }
  }
  minimum.at_edge = minimum.x == low || minimum.x == high;
  return minimum;
}

}  // namespace stile
