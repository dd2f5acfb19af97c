#include <stile/wire/detail/kernel.hpp>

#include <algorithm>
#include <cmath>
#include <tuple>

#include <stile/base/constants.hpp>
#include <stile/base/detail/clones.hpp>
#include <stile/wire/detail/fours.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire::detail {

namespace {

const std::vector<GaussPoint>& plain(int n) {
  static const std::array<std::vector<GaussPoint>, 6> rules{gauss_rule(2), gauss_rule(3), gauss_rule(4),
                                                            gauss_rule(5), gauss_rule(6), gauss_rule(8)};
  return rules[static_cast<std::size_t>(n)];
}
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

/// Integrals of (1 - s/L) f and (s/L) f along a cell, f = (exp(-jkR) - 1)/R, R^2 = (s - s0)^2 + d^2, by four points;
/// the real part without cancellation. Real and imaginary part of the one, then of the other.
STILE_CLONES
void smooth_part(double s0, double d2, double length, double k, const GaussPoint* rule, double* out) {
  const Four share{rule[0].x, rule[1].x, rule[2].x, rule[3].x};
  const Four s = share * length - s0;
  Four r = s * s + d2, re, im;
  take_root(r);
  const Four x = k * r;
  if (std::max(std::max(x[0], x[1]), std::max(x[2], x[3])) < 1.0) {
    const Four y = x * x;
    Four cosine_rest, sine_rest;
    alternating_series<2, 16>(y, cosine_rest);
    alternating_series<3, 17>(y, sine_rest);
    re = -k * x * cosine_rest;
    im = k * (y * sine_rest - 1.0);
  } else {
    Four cosine, sine;
    cosine_sine(0.5 * x, cosine, sine);
    const Four twice = -2.0 * sine / r;
    re = twice * sine;
    im = twice * cosine;
  }
  const Four w = length * Four{rule[0].weight, rule[1].weight, rule[2].weight, rule[3].weight};
  const Four first = w * (1.0 - share), second = w * share;
  const Four sums[4] = {first * re, first * im, second * re, second * im};
  for (int n = 0; n < 4; ++n) out[n] = (sums[n][0] + sums[n][1]) + (sums[n][2] + sums[n][3]);
}

/// cos x and (sin x)/x for x^2 = y below 1, and below 9, to 1e-10.
inline void near_series(const Four& y, Four& cosine, Four& sine) {
  alternating_series<0, 14>(y, cosine);
  alternating_series<1, 15>(y, sine);
}
inline void far_series(const Four& y, Four& cosine, Four& sine) {
  alternating_series<0, 22>(y, cosine);
  alternating_series<1, 23>(y, sine);
}

/// pair_block of cells that are far apart, by three points on either; `apart2` is added to the square of their
/// distance. Real parts of the four, then imaginary ones.
STILE_CLONES
void far_block(const LineCell& p, const LineCell& q, double k, double apart2, const PairRule& rule, double* out) {
  constexpr std::size_t fours = 3;
  Four r2[fours], re[fours], im[fours];
  const Vec3 between = p.start - q.start;
  double farthest = 0.0;
  for (std::size_t n = 0; n < fours; ++n) {
    Four s, t;
    load(&rule.x[4 * n], s);
    load(&rule.y[4 * n], t);
    s *= p.length_m;
    t *= q.length_m;
    const Four x = between.x_m + s * p.direction.x_m - t * q.direction.x_m,
               y = between.y_m + s * p.direction.y_m - t * q.direction.y_m,
               z = between.z_m + s * p.direction.z_m - t * q.direction.z_m;
    r2[n] = x * x + y * y + z * z + apart2;
    for (int lane = 0; lane < 4; ++lane) farthest = std::max(farthest, r2[n][lane]);
  }
  farthest *= k * k;
  for (std::size_t n = 0; n < fours; ++n) {
    Four r = r2[n], cosine, sine;
    take_root(r);
    const Four inverse = 1.0 / r;
    if (farthest < 9.0) {
      const Four y = k * k * r2[n];
      farthest < 1.0 ? near_series(y, cosine, sine) : far_series(y, cosine, sine);
      im[n] = -k * sine;
    } else {
      cosine_sine(k * r, cosine, sine);
      im[n] = -inverse * sine;
    }
    re[n] = inverse * cosine;
  }
  for (std::size_t i = 0; i < 4; ++i) {
    Four sum_re{}, sum_im{};
    for (std::size_t n = 0; n < fours; ++n) {
      Four w;
      load(&rule.weight[i / 2][i % 2][4 * n], w);
      sum_re += w * re[n];
      sum_im += w * im[n];
    }
    out[i] = (sum_re[0] + sum_re[1]) + (sum_re[2] + sum_re[3]);
    out[4 + i] = (sum_im[0] + sum_im[1]) + (sum_im[2] + sum_im[3]);
  }
}

enum class Relation { one_line, joined, apart };

/// Cells are far apart when there is more than this many lengths of the longer one between them.
constexpr double far_lengths = 2.0;

struct Pair {
  Relation relation;
  double distance_m;  // least distance of the axes; of cells far apart, what it is at least
};

Pair relate(const LineCell& p, const LineCell& q) {
  const Vec3 p1 = p.start + p.length_m * p.direction, q1 = q.start + q.length_m * q.direction;
  const double reach = norm(p.start + (0.5 * p.length_m) * p.direction - q.start - (0.5 * q.length_m) * q.direction) -
                       0.5 * (p.length_m + q.length_m);
  const bool beyond = reach > std::max({p.length_m, q.length_m, 10.0 * p.radius_m, 10.0 * q.radius_m});
  const double twist = norm(cross(p.direction, q.direction));
  if (beyond && twist > 1e-9) return {Relation::apart, reach};
  const bool parallel = twist < 1e-6;
  const Vec3 offset = q.start - p.start;
  const bool one_line = parallel && norm(offset - dot(offset, p.direction) * p.direction) <= 2.0 * joint_m;
  // Far is far: by how much, nobody asks.
  if (beyond && reach > far_lengths * std::max(p.length_m, q.length_m))
    return {one_line ? Relation::one_line : Relation::apart, reach};
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

/// Double integral of N_i(s) N_j(s')/R over parallel cells, R^2 = (s - s' - shift)^2 + d^2, s along p, s' along q in
/// p's direction. By parts: what remains are the second to fourth integrals of 1/R at the four corners.
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
    std::array<double, 4> n;
    smooth_part(s0, off2 + b2_, q_.length_m, k_, plain(2).data(), n.data());
    return {{n[0], n[1]}, {n[2], n[3]}};
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

  const bool far = pair.distance_m > far_lengths * q.length_m;
  if (far) {
    static const PairRule rule = pair_rule(plain(1));
    std::array<double, 8> sums;
    far_block(p, q, k_rad_m, offset2, rule, sums.data());
    PairBlock block;
    for (std::size_t i = 0; i < 4; ++i) {
      const cdouble value = p.length_m * q.length_m * cdouble(sums[i], sums[4 + i]);
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
  const double distance = point_distance_m(point, source.start, source.start + source.length_m * source.direction);
  const double b2 = distance < source.radius_m ? source.radius_m * source.radius_m : 0.0;
  const Inner at = InnerIntegral(source, k_rad_m, b2)(point);
  return {at.n0, at.n1};
}

}  // namespace stile::wire::detail
