#include <stile/tuner/boundary.hpp>

#include <algorithm>
#include <cmath>
#include <functional>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/base/roots.hpp>
#include <stile/tuner/detail/continuous_model.hpp>

namespace stile::tuner {
namespace {

using detail::ContinuousModel;
using detail::Values;

/// A tuner's models on the reflection plane.
struct Plane {
  std::vector<ContinuousModel> models;
  double reference = 0.0, tolerance = 0.0;

  cdouble gamma(const ContinuousModel& model, const Values& v) const {
    const cdouble above = -detail::residual(model, v, {0.0, 1.0}), below = detail::residual(model, v, {1.0, 0.0});
    return (above - reference * below) / (above + reference * below);
  }

  cdouble load(cdouble gamma) const { return reference * (1.0 + gamma) / (1.0 - gamma); }

  bool matchable(cdouble gamma) const {
    if (gamma == 1.0) return false;
    const cdouble z = load(gamma);
    return std::any_of(models.begin(), models.end(),
                       [&](const ContinuousModel& m) { return !detail::all_matches(m, z).empty(); });
  }

  BoundaryPoint point(const ContinuousModel& model, const Values& v) const {
    const cdouble reflection = gamma(model, v);
    return {detail::setting_of(model, v), reflection, load(reflection), false};
  }
};

/// Points of a curve of settings so close that no chord leaves it by more than the tolerance.
void trace(const Plane& plane, const ContinuousModel& model, const std::function<Values(double)>& at, double from,
           double to, int depth, std::vector<BoundaryPoint>& points) {
  constexpr int least_depth = 4, most_depth = 18;
  const double middle = 0.5 * (from + to);
  const cdouble a = plane.gamma(model, at(from)), b = plane.gamma(model, at(to)), m = plane.gamma(model, at(middle));
  const cdouble chord = b - a;
  const double length = std::abs(chord);
  // Distance from the chord, with room for a piece that is bent most beside its middle, and of the points from each
  // other so that a turned-back curve is not taken for a chord.
  const double off = length > 0.0 ? std::abs(((m - a) * std::conj(chord)).imag()) / length : std::abs(m - a);
  const bool fine =
      off <= 0.6 * plane.tolerance && std::abs(m - a) <= length + plane.tolerance && length <= 50.0 * plane.tolerance;
  if (depth >= least_depth && (fine || depth >= most_depth)) {
    points.push_back(plane.point(model, at(to)));
    return;
  }
  trace(plane, model, at, from, middle, depth + 1, points);
  trace(plane, model, at, middle, to, depth + 1, points);
}

/// The region ends at a point where one side of the curve is matched by no setting.
void mark_outline(const Plane& plane, std::vector<BoundaryPoint>& points) {
  for (std::size_t n = 0; n < points.size(); ++n) {
    const cdouble before = points[n == 0 ? 0 : n - 1].reflection,
                  after = points[std::min(n + 1, points.size() - 1)].reflection;
    const cdouble along = after - before;
    if (along == 0.0) continue;
    const cdouble aside = cdouble{0.0, 0.5 * plane.tolerance} * along / std::abs(along);
    points[n].outline =
        !plane.matchable(points[n].reflection + aside) || !plane.matchable(points[n].reflection - aside);
  }
}

std::string limit_name(const detail::FreeArm& arm, bool high) {
  return std::string(arm.name) + (arm.low == arm.high ? " as it is" : high ? " at most" : " at least");
}

/// Where the map of a face folds: the directions in which two values move the matched load are parallel. For each value
/// of arm x the values of y are searched for; lines are joined while their number stays the same.
void trace_folds(const Plane& plane, const ContinuousModel& model, std::size_t x, std::size_t y, const Values& corner,
                 const std::string& label, std::vector<BoundaryCurve>& curves) {
  constexpr int columns = 128, samples = 64;
  const detail::FreeArm& ax = model.arms[x];
  const detail::FreeArm& ay = model.arms[y];
  const auto spread = [](const detail::FreeArm& arm, double part) {
    return arm.low > 0.0 ? arm.low * std::pow(arm.high / arm.low, part) : arm.low + (arm.high - arm.low) * part;
  };
  const auto at = [&](double px, double py) {
    Values v = corner;
    v[x] = spread(ax, px);
    v[y] = spread(ay, py);
    return v;
  };
  // The condition of match is linear in each value: its slopes are differences.
  const auto turn = [&](double px, double py) {
    const Values v = at(px, py);
    const std::pair<cdouble, cdouble> load{-detail::residual(model, v, {0.0, 1.0}),
                                           detail::residual(model, v, {1.0, 0.0})};
    const auto slope = [&](std::size_t k) {
      Values low = v, high = v;
      low[k] = model.arms[k].low;
      high[k] = model.arms[k].high;
      return detail::residual(model, high, load) - detail::residual(model, low, load);
    };
    const cdouble sx = slope(x), sy = slope(y), product = sx * std::conj(sy);
    return std::abs(product) > 0.0 ? product.imag() / std::abs(product) : 0.0;
  };
  std::vector<std::vector<BoundaryPoint>> open;
  const auto close = [&] {
    for (std::vector<BoundaryPoint>& points : open) {
      if (points.size() > 1) curves.push_back({label, std::move(points)});
    }
    open.clear();
  };
  for (int column = 0; column <= columns; ++column) {
    const double px = static_cast<double>(column) / columns;
    std::vector<double> roots;
    double before = turn(px, 0.0);
    for (int n = 1; n <= samples; ++n) {
      const double right = static_cast<double>(n) / samples, after = turn(px, right);
      if (before * after < 0.0) {
        const Root root =
            find_root([&](double py) { return turn(px, py); }, static_cast<double>(n - 1) / samples, right);
        if (root.status == RootStatus::found) roots.push_back(root.x);
      }
      before = after;
    }
    if (roots.size() != open.size()) {
      close();
      open.resize(roots.size());
    }
    for (std::size_t k = 0; k < roots.size(); ++k) open[k].push_back(plane.point(model, at(px, roots[k])));
  }
  close();
}

std::vector<std::size_t> free_arms(const ContinuousModel& model) {
  std::vector<std::size_t> free;
  for (std::size_t k = 0; k < 3; ++k) {
    if (!model.arms[k].name.empty() && !(model.differential && k == 2)) free.push_back(k);
  }
  return free;
}

}  // namespace

std::vector<BoundaryCurve> trace_boundary(const ContinuousTuner& tuner, double frequency_hz, cdouble z_source_ohm,
                                          double reference_ohm, double tolerance) {
  check(tuner);
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "frequency_hz must be > 0 and finite");
  require(network::finite(z_source_ohm) && z_source_ohm.real() > 0.0, "z_source_ohm must be finite with real part > 0");
  require(reference_ohm > 0.0 && std::isfinite(reference_ohm), "reference_ohm must be > 0 and finite");
  require(tolerance > 0.0 && std::isfinite(tolerance), "tolerance must be > 0 and finite");
  const Plane plane{detail::models(tuner, frequency_hz, z_source_ohm), reference_ohm, tolerance};
  std::vector<BoundaryCurve> curves;
  for (const ContinuousModel& model : plane.models) {
    const std::vector<std::size_t> free = free_arms(model);
    const std::string side = model.form != TunerForm::l          ? ""
                             : model.side == CapacitorSide::load ? ", capacitor on the load's side"
                                                                 : ", capacitor on the transmitter's side";
    // Edges: one part turns, each of the others stands at either limit.
    for (const std::size_t turning : free) {
      const detail::FreeArm& arm = model.arms[turning];
      if (arm.low == arm.high) continue;
      std::vector<std::size_t> others;
      for (const std::size_t k : free) {
        if (k != turning) others.push_back(k);
      }
      for (std::size_t corner = 0; corner < std::size_t{1} << others.size(); ++corner) {
        Values values{};
        BoundaryCurve curve;
        bool twice = false;
        for (std::size_t n = 0; n < others.size(); ++n) {
          const bool high = (corner >> n & 1U) != 0;
          const detail::FreeArm& other = model.arms[others[n]];
          twice = twice || (high && other.low == other.high);
          values[others[n]] = high ? other.high : other.low;
          curve.label += limit_name(other, high) + ", ";
        }
        if (twice) continue;
        curve.label += std::string(arm.name) + " free" + side;
        const auto at = [&](double part) {
          Values v = values;
          v[turning] =
              arm.low > 0.0 ? arm.low * std::pow(arm.high / arm.low, part) : arm.low + (arm.high - arm.low) * part;
          if (part >= 1.0) v[turning] = arm.high;
          if (model.differential) v[2] = model.shared_f - v[0];
          return v;
        };
        curve.points.push_back(plane.point(model, at(0.0)));
        trace(plane, model, at, 0.0, 1.0, 0, curve.points);
        curves.push_back(std::move(curve));
      }
    }
    if (free.size() < 3) continue;
    for (const std::size_t fixed : free) {
      const std::size_t x = (fixed + 1) % 3, y = (fixed + 2) % 3;
      if (model.arms[x].low == model.arms[x].high || model.arms[y].low == model.arms[y].high) continue;
      for (const bool high : {false, true}) {
        const detail::FreeArm& arm = model.arms[fixed];
        if (high && arm.low == arm.high) continue;
        Values corner{};
        corner[fixed] = high ? arm.high : arm.low;
        trace_folds(plane, model, x, y, corner, limit_name(arm, high) + ", fold", curves);
      }
    }
  }
  for (BoundaryCurve& curve : curves) mark_outline(plane, curve.points);
  return curves;
}

std::vector<BoundaryStretch> boundary_stretches(std::span<const BoundaryCurve> curves, const MapGrid& grid) {
  std::vector<BoundaryStretch> stretches;
  const double far =
      20.0 * std::max({std::abs(grid.x_low), std::abs(grid.x_high), std::abs(grid.y_low), std::abs(grid.y_high)});
  for (const BoundaryCurve& curve : curves) {
    BoundaryStretch stretch;
    const auto end = [&] {
      if (stretch.points.size() > 1) stretches.push_back(stretch);
      stretch.points.clear();
    };
    for (const BoundaryPoint& p : curve.points) {
      const bool passive = std::abs(p.reflection) <= 1.0 && network::finite(p.z_ohm) && p.z_ohm.real() >= 0.0;
      const cdouble at = passive ? point_of(grid, p.z_ohm) : cdouble{};
      if (!passive || !(std::abs(at) < far)) {
        end();
        continue;
      }
      if (!stretch.points.empty() && stretch.outline != p.outline) {
        stretch.points.push_back(at);
        end();
      }
      stretch.outline = p.outline;
      stretch.points.push_back(at);
    }
    end();
  }
  return stretches;
}

}  // namespace stile::tuner
