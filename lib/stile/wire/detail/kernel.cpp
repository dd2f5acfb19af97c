#include <stile/wire/detail/kernel.hpp>

#include <algorithm>
#include <cmath>
#include <tuple>

#include <stile/base/constants.hpp>
#include <stile/base/detail/clones.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire::detail {

namespace {

const std::vector<GaussPoint>& plain(int n) {
  static const std::array<std::vector<GaussPoint>, 6> rules{gauss_rule(2), gauss_rule(3), gauss_rule(4),
                                                            gauss_rule(5), gauss_rule(6), gauss_rule(8)};
  return rules[static_cast<std::size_t>(n)];
}
const std::vector<GaussPoint>& inner_rule() { return plain(2); }
const std::vector<GaussPoint>& close_rule() {
  static const std::vector<GaussPoint> rule = clustered_rule(24);
  return rule;
}

struct Real2 {
  double n0, n1;
};

/// Integrals of (1 - s/L)/R and (s/L)/R along a cell, R^2 = (s - s0)^2 + d^2.
Real2 static_part(double s0, double d2, double length) {
  const double far = length - s0;
  const double r0 = std::sqrt(s0 * s0 + d2), r1 = std::sqrt(far * far + d2);
  double log_part;  // asinh(far/d) + asinh(s0/d) without cancellation
  if (far < 0.0)
    log_part = std::log((s0 + r0) / (r1 - far));
  else if (s0 < 0.0)
    log_part = std::log((far + r1) / (r0 - s0));
  else
    log_part = std::log((far + r1) * (s0 + r0) / d2);
  const double n1 = (r1 - r0 + s0 * log_part) / length;
  return {log_part - n1, n1};
}

constexpr double inverse_factorial(int n) { return n < 2 ? 1.0 : inverse_factorial(n - 1) / n; }

/// (exp(-jx) - 1)/x for x = kR, times k; the real part without cancellation.
cdouble dynamic_part(double r, double k) {
  const double x = k * r;
  if (x < 1.0) {
    const double y = x * x;
    double real = inverse_factorial(16), imaginary = inverse_factorial(17);
    real = inverse_factorial(14) - y * real, imaginary = inverse_factorial(15) - y * imaginary;
    real = inverse_factorial(12) - y * real, imaginary = inverse_factorial(13) - y * imaginary;
    real = inverse_factorial(10) - y * real, imaginary = inverse_factorial(11) - y * imaginary;
    real = inverse_factorial(8) - y * real, imaginary = inverse_factorial(9) - y * imaginary;
    real = inverse_factorial(6) - y * real, imaginary = inverse_factorial(7) - y * imaginary;
    real = inverse_factorial(4) - y * real, imaginary = inverse_factorial(5) - y * imaginary;
    real = inverse_factorial(2) - y * real, imaginary = inverse_factorial(3) - y * imaginary;
    return k * cdouble(-x * real, y * imaginary - 1.0);
  }
  const double s = std::sin(0.5 * x), c = std::cos(0.5 * x);
  return cdouble(-2.0 * s * s, -2.0 * s * c) / r;
}

template <int n>
constexpr double inverse_factorial_of = inverse_factorial(n);

/// Three by three points of a far pair, a dozen places so that they go into vectors of four; the last weigh nothing.
struct FarRule {
  static constexpr std::size_t size = 12;
  using Numbers = std::array<double, size>;
  Numbers x{}, y{};                                 // along either cell, shares
  std::array<std::array<Numbers, 2>, 2> weights{};  // of the two functions of either
};
FarRule make_far_rule() {
  FarRule rule;
  std::size_t n = 0;
  for (const GaussPoint& a : plain(1)) {
    for (const GaussPoint& b : plain(1)) {
      rule.x[n] = a.x;
      rule.y[n] = b.x;
      for (std::size_t i = 0; i < 2; ++i) {
        for (std::size_t j = 0; j < 2; ++j)
          rule.weights[i][j][n] = a.weight * b.weight * (i == 0 ? 1.0 - a.x : a.x) * (j == 0 ? 1.0 - b.x : b.x);
      }
      ++n;
    }
  }
  return rule;
}

/// cos x and (sin x)/x for x^2 = y, x up to farthest_series, to 1e-10.
constexpr double farthest_series = 3.0;
template <int n, int last>
inline double alternating_series(double y) {  // sum of (-y)^m/(n + 2 m)!
  if constexpr (n >= last)
    return inverse_factorial_of<n>;
  else
    return inverse_factorial_of<n> - y * alternating_series<n + 2, last>(y);
}
inline double cos_series(double y) { return alternating_series<0, 22>(y); }
inline double sinc_series(double y) { return alternating_series<1, 23>(y); }

/// pair_block of cells that are far apart, by points; `apart2` is added to the square of their distance.
STILE_CLONES
void far_block(const LineCell& p, const LineCell& q, double k, double apart2, const FarRule& rule, double* real,
               double* imaginary) {
  FarRule::Numbers r2, re, im;
  const Vec3 between = p.start - q.start;
  for (std::size_t n = 0; n < FarRule::size; ++n) {
    const double s = rule.x[n] * p.length_m, t = rule.y[n] * q.length_m;
    const double x = between.x_m + s * p.direction.x_m - t * q.direction.x_m,
                 y = between.y_m + s * p.direction.y_m - t * q.direction.y_m,
                 z = between.z_m + s * p.direction.z_m - t * q.direction.z_m;
    r2[n] = x * x + y * y + z * z + apart2;
  }
  for (std::size_t n = 0; n < FarRule::size; ++n) re[n] = 1.0 / std::sqrt(r2[n]);
  double farthest = 0.0;
  for (std::size_t n = 0; n < FarRule::size; ++n) farthest = std::max(farthest, r2[n]);
  if (k * k * farthest < farthest_series * farthest_series) {
    for (std::size_t n = 0; n < FarRule::size; ++n) {
      const double y = k * k * r2[n];
      re[n] *= cos_series(y);
      im[n] = -k * sinc_series(y);
    }
  } else {
    for (std::size_t n = 0; n < FarRule::size; ++n) {
      const double x = k * std::sqrt(r2[n]), inverse = re[n];
      re[n] = inverse * std::cos(x);
      im[n] = -inverse * std::sin(x);
    }
  }
  for (std::size_t i = 0; i < 4; ++i) {
    const FarRule::Numbers& w = rule.weights[i / 2][i % 2];
    double sum_re = 0.0, sum_im = 0.0;
    for (std::size_t n = 0; n < FarRule::size; ++n) {
      sum_re += w[n] * re[n];
      sum_im += w[n] * im[n];
    }
    real[i] = sum_re;
    imaginary[i] = sum_im;
  }
}

enum class Relation { one_line, joined, apart };

struct Pair {
  Relation relation;
  double distance_m;  // least distance of the axes
};

Pair relate(const LineCell& p, const LineCell& q) {
  const Vec3 p1 = p.start + p.length_m * p.direction, q1 = q.start + q.length_m * q.direction;
  const double reach = norm(p.start + (0.5 * p.length_m) * p.direction - q.start - (0.5 * q.length_m) * q.direction) -
                       0.5 * (p.length_m + q.length_m);
  if (reach > std::max({p.length_m, q.length_m, 10.0 * p.radius_m, 10.0 * q.radius_m}) &&
      norm(cross(p.direction, q.direction)) > 1e-9)
    return {Relation::apart, reach};
  const bool parallel = norm(cross(p.direction, q.direction)) < 1e-6;
  const Vec3 offset = q.start - p.start;
  const bool one_line = parallel && norm(offset - dot(offset, p.direction) * p.direction) <= 2.0 * joint_m;
  const double distance = piece_distance_m(p.start, p1, q.start, q1);
  if (one_line) return {Relation::one_line, distance};
  return {distance <= joint_m ? Relation::joined : Relation::apart, distance};
}

/// Squares of the distances between two tubes around a common axis, as a rule over the angle between their points.
struct TubeRule {
  std::array<double, 10> b2;
  std::array<double, 10> weight;
};

TubeRule tube_rule(double a1, double a2) {
  static const std::vector<GaussPoint> rule = gauss_rule(10);
  TubeRule tube;
  for (std::size_t i = 0; i < rule.size(); ++i) {
    const double t = rule[i].x;
    tube.b2[i] = a1 * a1 + a2 * a2 - 2.0 * a1 * a2 * std::cos(pi * t * t * t);
    tube.weight[i] = rule[i].weight * 3.0 * t * t;
  }
  return tube;
}

using RealBlock = std::array<std::array<double, 2>, 2>;

/// Double integral of N_i(s) N_j(s')/R over parallel cells, R^2 = (s - s' - shift)^2 + d^2, s along p, s' along q in p's
/// direction. By parts: what remains are the second to fourth integrals of 1/R at the four corners.
RealBlock parallel_static(double p_length, double q_length, double shift, double d2) {
  struct Integrals {
    double second, third, fourth;
  };
  const double d = std::sqrt(d2);
  const auto at = [&](double u) {
    const double r = std::sqrt(u * u + d2), first = std::copysign(std::log((std::abs(u) + r) / d), u);
    return Integrals{u * first - r, (0.5 * u * u - 0.25 * d2) * first - 0.75 * u * r,
                     (u * u / 6.0 - 0.25 * d2) * u * first + (5.0 / 12.0 * d2 - 11.0 / 36.0 * r * r) * r};
  };
  struct End {  // of p: integrals of the inner integral, for either function of q
    std::array<double, 2> first, second;
  };
  const auto end = [&](double s) {
    const Integrals a = at(s - shift), b = at(s - q_length - shift);
    const double third = (a.third - b.third) / q_length, fourth = (a.fourth - b.fourth) / q_length;
    return End{{a.second - third, third - b.second}, {a.third - fourth, fourth - b.third}};
  };
  const End from = end(0.0), to = end(p_length);
  RealBlock block;
  for (std::size_t n = 0; n < 2; ++n) {
    const double mean = (to.second[n] - from.second[n]) / p_length;
    block[0][n] = mean - from.first[n];
    block[1][n] = to.first[n] - mean;
  }
  return block;
}

struct Inner {
  cdouble n0, n1;
};

class InnerIntegral {
public:
  InnerIntegral(const LineCell& source, double k, double b2) : q_(source), k_(k), b2_(b2) {}
  void around(const TubeRule& tube) { tube_ = &tube; }

  Inner operator()(Vec3 r) const {
    const Vec3 w = r - q_.start;
    const double s0 = dot(w, q_.direction);
    const double off2 = std::max(dot(w, w) - s0 * s0, 0.0);
    Real2 fixed{0.0, 0.0};
    if (tube_ == nullptr) {
      fixed = static_part(s0, std::max(off2 + b2_, 1e-24), q_.length_m);
    } else {
      for (std::size_t i = 0; i < tube_->b2.size(); ++i) {
        const Real2 one = static_part(s0, off2 + tube_->b2[i], q_.length_m);
        fixed.n0 += tube_->weight[i] * one.n0;
        fixed.n1 += tube_->weight[i] * one.n1;
      }
    }
    const Inner rest = smooth(s0, off2);
    return {fixed.n0 + rest.n0, fixed.n1 + rest.n1};
  }

  /// Without the static part.
  Inner smooth(Vec3 r) const {
    const Vec3 w = r - q_.start;
    const double s0 = dot(w, q_.direction);
    return smooth(s0, std::max(dot(w, w) - s0 * s0, 0.0));
  }

private:
  Inner smooth(double s0, double off2) const {
    cdouble n0 = 0.0, n1 = 0.0;
    for (const GaussPoint& g : inner_rule()) {
      const double s = g.x * q_.length_m - s0;
      const cdouble f = g.weight * q_.length_m * dynamic_part(std::sqrt(s * s + off2 + b2_), k_);
      n0 += (1.0 - g.x) * f;
      n1 += g.x * f;
    }
    return {n0, n1};
  }

  const LineCell& q_;
  double k_;
  double b2_;
  const TubeRule* tube_ = nullptr;
};

}  // namespace

LineCell mirrored(const LineCell& cell) {
  LineCell m = cell;
  m.start.z_m = -m.start.z_m;
  m.direction.z_m = -m.direction.z_m;
  return m;
}

PairBlock pair_block(const LineCell& test, const LineCell& source, double k_rad_m) {
  // The outer integral runs over the shorter cell; among equals the choice must not depend on who is test and who is
  // source, nor on which of them is the mirrored one.
  const auto rank = [](const LineCell& c) {
    return std::tuple(c.length_m, c.start.x_m, c.start.y_m, std::abs(c.start.z_m));
  };
  const bool swap = rank(test) > rank(source);
  const LineCell& p = swap ? source : test;
  const LineCell& q = swap ? test : source;
  const Pair pair = relate(p, q);
  const bool close = pair.distance_m < 1.2 * q.length_m;

  const double a2 = p.radius_m * p.radius_m, b2 = q.radius_m * q.radius_m;
  const double offset2 = pair.relation == Relation::one_line ? std::max(a2, b2)
                         : pair.relation == Relation::joined ? 0.5 * (a2 + b2)
                                                             : 0.0;
  InnerIntegral inner(q, k_rad_m, offset2);
  TubeRule tube{};
  const double tube_reach = 6.0 * std::max(p.radius_m, q.radius_m);
  const bool tubes = pair.relation == Relation::one_line && pair.distance_m < tube_reach && p.length_m < tube_reach;
  if (tubes) {
    tube = tube_rule(p.radius_m, q.radius_m);
    inner.around(tube);
  }

  const bool far = pair.distance_m > 2.0 * q.length_m;
  if (far) {
    static const FarRule rule = make_far_rule();
    std::array<double, 4> real, imaginary;
    far_block(p, q, k_rad_m, offset2, rule, real.data(), imaginary.data());
    PairBlock block;
    for (std::size_t i = 0; i < 4; ++i) {
      const cdouble value = p.length_m * q.length_m * cdouble(real[i], imaginary[i]);
      (swap ? block.n[i % 2][i / 2] : block.n[i / 2][i % 2]) = value;
    }
    return block;
  }
  const bool parallel = close && norm(cross(p.direction, q.direction)) < 1e-9;
  PairBlock block;
  if (parallel) {
    const bool same_way = dot(p.direction, q.direction) > 0.0;
    const Vec3 start = same_way ? q.start : q.start + q.length_m * q.direction;
    const Vec3 between = start - p.start;
    const double shift = dot(between, p.direction), off2 = std::max(dot(between, between) - shift * shift, 0.0);
    const auto add = [&](double weight, double apart2) {
      const RealBlock fixed = parallel_static(p.length_m, q.length_m, shift, std::max(off2 + apart2, 1e-24));
      for (std::size_t i = 0; i < 2; ++i) {
        for (std::size_t n = 0; n < 2; ++n) block.n[i][same_way ? n : 1 - n] += weight * fixed[i][n];
      }
    };
    if (tubes) {
      for (std::size_t i = 0; i < tube.b2.size(); ++i) add(tube.weight[i], tube.b2[i]);
    } else {
      add(1.0, offset2);
    }
  }

  // Where the other cell's ends come near, the inner integral bends: the outer one is cut there.
  std::array<double, 4> cuts{0.0, 0.0, 0.0, 1.0};
  std::size_t count = 1;
  if (close && !parallel) {
    for (const double end : {0.0, q.length_m}) {
      const double s = dot(q.start + end * q.direction - p.start, p.direction) / p.length_m;
      if (s > 1e-6 && s < 1.0 - 1e-6) cuts[count++] = s;
    }
    if (count == 3 && cuts[1] > cuts[2]) std::swap(cuts[1], cuts[2]);
  }
  cuts[count] = 1.0;
  const std::vector<GaussPoint>& rule = parallel ? plain(5) : close ? close_rule() : plain(2);
  for (std::size_t c = 0; c < count; ++c) {
    const double from = cuts[c], width = cuts[c + 1] - cuts[c];
    for (const GaussPoint& g : rule) {
      const double x = from + width * g.x;
      const Vec3 point = p.start + (x * p.length_m) * p.direction;
      const Inner at = parallel ? inner.smooth(point) : inner(point);
      const double w = g.weight * width * p.length_m;
      block.n[0][0] += w * (1.0 - x) * at.n0;
      block.n[0][1] += w * (1.0 - x) * at.n1;
      block.n[1][0] += w * x * at.n0;
      block.n[1][1] += w * x * at.n1;
    }
  }
  if (swap) std::swap(block.n[0][1], block.n[1][0]);
  return block;
}

PointPotential point_potential(Vec3 point, const LineCell& source, double k_rad_m) {
  const double distance = piece_distance_m(point, point + 1e-9 * source.direction, source.start,
                                           source.start + source.length_m * source.direction);
  const double b2 = distance < source.radius_m ? source.radius_m * source.radius_m : 0.0;
  const Inner at = InnerIntegral(source, k_rad_m, b2)(point);
  return {at.n0, at.n1};
}

}  // namespace stile::wire::detail
