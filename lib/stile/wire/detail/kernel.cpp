#include <stile/wire/detail/kernel.hpp>

#include <algorithm>
#include <cmath>
#include <tuple>

#include <stile/base/constants.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::detail {

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

/// (exp(-jx) - 1)/x for x = kR, times k; the real part without cancellation.
cdouble dynamic_part(double r, double k) {
  const double x = k * r;
  const double half = 0.5 * x;
  if (x < 1e-4) return k * cdouble(-half, -1.0 + x * x / 6.0);
  const double s = std::sin(half);
  return cdouble(-2.0 * s * s, -std::sin(x)) / r;
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
    cdouble n0 = fixed.n0, n1 = fixed.n1;
    for (const GaussPoint& g : inner_rule()) {
      const double s = g.x * q_.length_m - s0;
      const cdouble f = g.weight * q_.length_m * dynamic_part(std::sqrt(s * s + off2 + b2_), k_);
      n0 += (1.0 - g.x) * f;
      n1 += g.x * f;
    }
    return {n0, n1};
  }

private:
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
  if (pair.relation == Relation::one_line && pair.distance_m < tube_reach && p.length_m < tube_reach) {
    tube = tube_rule(p.radius_m, q.radius_m);
    inner.around(tube);
  }

  // Where the other cell's ends come near, the inner integral bends: the outer one is cut there.
  std::array<double, 4> cuts{0.0, 0.0, 0.0, 1.0};
  std::size_t count = 1;
  if (close) {
    for (const double end : {0.0, q.length_m}) {
      const double s = dot(q.start + end * q.direction - p.start, p.direction) / p.length_m;
      if (s > 1e-6 && s < 1.0 - 1e-6) cuts[count++] = s;
    }
    if (count == 3 && cuts[1] > cuts[2]) std::swap(cuts[1], cuts[2]);
  }
  cuts[count] = 1.0;
  const std::vector<GaussPoint>& rule = close ? close_rule() : pair.distance_m > 4.0 * q.length_m ? plain(1) : plain(2);
  PairBlock block;
  for (std::size_t c = 0; c < count; ++c) {
    const double from = cuts[c], width = cuts[c + 1] - cuts[c];
    for (const GaussPoint& g : rule) {
      const double x = from + width * g.x;
      const Inner at = inner(p.start + (x * p.length_m) * p.direction);
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

}  // namespace stile::detail
