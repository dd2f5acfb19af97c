#include <stile/tuner/detail/continuous_model.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>

#include <stile/base/roots.hpp>
#include <stile/tuner/detail/arms.hpp>

namespace stile::tuner::detail {
namespace {

/// @param across  as an admittance
Ratio ratio_of(const VariableInductor& part, bool across, double f) {
  const cdouble fixed{part.loss.series_ohm, 0.0};
  const cdouble per_henry = network::impedance(network::Inductor{1.0, part.loss, 0.0}, f) - fixed;
  return across ? Ratio{1.0, 0.0, fixed, per_henry} : Ratio{fixed, per_henry, 1.0, 0.0};
}

Ratio ratio_of(const VariableCapacitor& part, bool across, double f) {
  network::Loss loss = part.loss;
  loss.series_ohm = 0.0;
  const cdouble of_a_farad = network::impedance(network::Capacitor{1.0, loss}, f);
  const double fixed = part.loss.series_ohm;
  return across ? Ratio{0.0, 1.0, of_a_farad, fixed} : Ratio{of_a_farad, fixed, 0.0, 1.0};
}

std::vector<std::pair<double, double>> limits(const VariableInductor& part) {
  if (part.taps_h.empty()) return {{part.range_h.low, part.range_h.high}};
  std::vector<std::pair<double, double>> taps;
  for (const double h : part.taps_h) taps.emplace_back(h, h);
  return taps;
}

double scale(const FreeArm& arm) { return arm.high > 0.0 ? arm.high : 1.0; }

/// Within the limits but for `room` of their scale.
bool within(const FreeArm& arm, double value, double room) {
  return value >= arm.low - room * scale(arm) && value <= arm.high + room * scale(arm);
}

/// Within the limits but for rounding; then put inside them.
bool settle(const FreeArm& arm, double& value) {
  if (!within(arm, value, 1e-9)) return false;
  value = std::clamp(value, arm.low, arm.high);
  return true;
}

/// Real roots of a x^2 + b x + c; none in the place of one that is missing.
std::array<std::optional<double>, 2> quadratic(double a, double b, double c) {
  if (a == 0.0) return {b == 0.0 ? std::nullopt : std::optional(-c / b), std::nullopt};
  double discriminant = b * b - 4.0 * a * c;
  if (discriminant < 0.0) {
    if (discriminant < -1e-14 * b * b) return {};
    discriminant = 0.0;
  }
  const double q = -0.5 * (b + std::copysign(std::sqrt(discriminant), b));
  if (q == 0.0) return {0.0, std::nullopt};
  return {q / a, c / q};
}

/// Coefficients, constant first, of the polynomial of the fourth degree through five values at 0, 1/4 ... 1.
std::array<double, 5> newton_form(std::array<double, 5> value) {
  for (std::size_t order = 1; order < 5; ++order) {  // divided differences
    for (std::size_t n = 4; n >= order; --n) value[n] = (value[n] - value[n - 1]) / (0.25 * static_cast<double>(order));
  }
  std::array<double, 5> coefficients{};
  for (std::size_t n = 5; n-- > 0;) {  // times (x - n/4), plus the next
    for (std::size_t k = 4; k > 0; --k)
      coefficients[k] = coefficients[k - 1] - 0.25 * static_cast<double>(n) * coefficients[k];
    coefficients[0] = value[n] - 0.25 * static_cast<double>(n) * coefficients[0];
  }
  return coefficients;
}

/// Roots in 0..1 of a function that the polynomial describes to rounding. Between neighbouring roots of the derivative
/// there is one at most; where the function only touches zero at such a place, that is one too.
std::vector<double> roots_between(const std::array<double, 5>& coefficients, const std::function<double(double)>& f) {
  std::array<double, 5> slope{};
  bool constant = true;
  double size = 0.0;
  for (std::size_t k = 0; k < 5; ++k) {
    size += std::abs(coefficients[k]);
    if (k == 0) continue;
    slope[k - 1] = static_cast<double>(k) * coefficients[k];
    constant = constant && slope[k - 1] == 0.0;
  }
  if (constant) return {};
  std::vector<double> ends{0.0};
  const auto polynomial = [&](double x) {
    double sum = 0.0;
    for (std::size_t k = 5; k-- > 0;) sum = sum * x + slope[k];
    return sum;
  };
  for (const double x : roots_between(slope, polynomial)) ends.push_back(x);
  ends.push_back(1.0);
  std::sort(ends.begin(), ends.end());
  std::vector<double> roots;
  for (std::size_t n = 0; n < ends.size(); ++n) {
    const double here = f(ends[n]);
    if (std::abs(here) <= 1e-13 * size) roots.push_back(ends[n]);
    if (n + 1 == ends.size() || !(ends[n] < ends[n + 1]) || !(here * f(ends[n + 1]) < 0.0)) continue;
    const Root root = find_root(f, ends[n], ends[n + 1]);
    if (root.status == RootStatus::found) roots.push_back(root.x);
  }
  return roots;
}

/// Values of the inductor that match, given both ends of a differential capacitor.
std::vector<Values> solve_differential(const ContinuousModel& model, cdouble z_load) {
  const std::pair<cdouble, cdouble> load{z_load, 1.0};
  const FreeArm& near = model.arms[0];
  const FreeArm& middle = model.arms[1];
  const double h = scale(middle);
  const auto at = [&](double near_f, double henry) { return Values{near_f, henry, model.shared_f - near_f}; };
  // residual = p + q L; L = -p/q is real where Im(p conj q) is 0
  const auto parts = [&](double near_f) {
    const cdouble p = residual(model, at(near_f, 0.0), load);
    return std::pair{p, residual(model, at(near_f, h), load) - p};
  };
  const auto imaginary = [&](double near_f) {
    const auto [p, q] = parts(near_f);
    return (p * std::conj(q)).imag();
  };
  std::vector<Values> found;
  const auto add = [&](double near_f) {
    const auto [p, q] = parts(near_f);
    if (q == 0.0) return;
    double henry = -(p / q).real() * h;
    if (settle(middle, henry)) found.push_back(at(near_f, henry));
  };
  // Of the fourth degree in the capacitance, since p and q are of the second: five values make the polynomial.
  const auto place = [&](double part) { return near.low + (near.high - near.low) * part; };
  std::array<double, 5> value{};
  for (std::size_t n = 0; n < 5; ++n) value[n] = imaginary(place(0.25 * static_cast<double>(n)));
  const auto along = [&](double part) { return imaginary(place(part)); };
  for (const double part : roots_between(newton_form(value), along)) add(place(part));
  return found;
}

}  // namespace

std::vector<ContinuousModel> models(const ContinuousTuner& tuner, double f, cdouble z_source) {
  std::vector<ContinuousModel> all;
  ContinuousModel model;
  model.form = tuner.form;
  model.dual = tuner.form == TunerForm::t || tuner.form == TunerForm::lcl;
  model.source = model.dual ? 1.0 / z_source : z_source;
  const auto inductor = [&](const VariableInductor& part, bool across, std::pair<double, double> range,
                            const char* name) {
    return FreeArm{ratio_of(part, across, f), range.first, range.second, name};
  };
  const auto capacitor = [&](const VariableCapacitor& part, bool across, const char* name) {
    return FreeArm{ratio_of(part, across, f), part.range_f.low, part.range_f.high, name};
  };
  for (const auto& range : limits(tuner.inductor)) {
    switch (tuner.form) {
    case TunerForm::l:
      for (const CapacitorSide side : {CapacitorSide::transmitter, CapacitorSide::load}) {
        const bool near = side == CapacitorSide::transmitter;
        if (!(near ? tuner.capacitor_at_transmitter : tuner.capacitor_at_load)) continue;
        model.side = side;
        model.arms = {};
        model.arms[near ? 0 : 2] = capacitor(tuner.capacitor, true, "capacitor");
        model.arms[1] = inductor(tuner.inductor, false, range, "inductor");
        all.push_back(model);
      }
      break;
    case TunerForm::pi_network:
    case TunerForm::t: {
      const bool across = tuner.form == TunerForm::pi_network;
      model.arms = {
          capacitor(tuner.capacitor, across, "capacitor at the transmitter"),
          inductor(tuner.inductor, !across, range, "inductor"),
          capacitor(tuner.differential ? tuner.capacitor : tuner.load_capacitor, across, "capacitor at the load")};
      model.differential = tuner.differential;
      model.shared_f = tuner.capacitor.range_f.low + tuner.capacitor.range_f.high;
      all.push_back(model);
      break;
    }
    case TunerForm::lcl:
      for (const auto& load_range : limits(tuner.load_inductor)) {
        model.arms = {inductor(tuner.inductor, false, range, "inductor at the transmitter"),
                      capacitor(tuner.capacitor, true, "capacitor"),
                      inductor(tuner.load_inductor, false, load_range, "inductor at the load")};
        all.push_back(model);
      }
      break;
    }
  }
  return all;
}

ContinuousSetting setting_of(const ContinuousModel& model, const Values& v) {
  ContinuousSetting s;
  s.side = model.side;
  switch (model.form) {
  case TunerForm::l:
    s.inductance_h = v[1];
    s.capacitance_f = v[model.side == CapacitorSide::transmitter ? 0 : 2];
    break;
  case TunerForm::pi_network:
  case TunerForm::t:
    s.capacitance_f = v[0];
    s.inductance_h = v[1];
    s.load_capacitance_f = v[2];
    break;
  case TunerForm::lcl:
    s.inductance_h = v[0];
    s.capacitance_f = v[1];
    s.load_inductance_h = v[2];
    break;
  }
  return s;
}

cdouble residual(const ContinuousModel& model, const Values& v, const std::pair<cdouble, cdouble>& load) {
  const auto arm = [&](std::size_t k) {
    const Ratio& r = model.arms[k].ratio;
    return Quotient{plain(r.n0 + r.n1 * v[k]), plain(r.d0 + r.d1 * v[k])};
  };
  const Plain voltage = plain(load.first), current = plain(load.second);
  const WalkPoint<Plain> at_load = model.dual ? WalkPoint<Plain>{current, voltage} : WalkPoint<Plain>{voltage, current};
  const Plain left = back(walk_arms(at_load, arm(2), arm(1), arm(0)), plain(model.source));
  return {left.re, left.im};
}

Ends ends_of(const ContinuousModel& model, const Values& v, cdouble z_load) {
  const auto arm = [&](std::size_t k) {
    const Ratio& r = model.arms[k].ratio;
    return plain((r.n0 + r.n1 * v[k]) / (r.d0 + r.d1 * v[k]));
  };
  return leave(enter(load_end(z_load, model.dual), arm(2)), arm(1), arm(0), plain(model.source));
}

std::vector<Values> solve_two(const ContinuousModel& model, std::size_t x, std::size_t y, Values values,
                              cdouble z_load) {
  const std::pair<cdouble, cdouble> load{z_load, 1.0};
  const double sx = scale(model.arms[x]), sy = scale(model.arms[y]);
  const auto at = [&](double vx, double vy) {
    values[x] = vx * sx;
    values[y] = vy * sy;
    return residual(model, values, load);
  };
  const cdouble a = at(0.0, 0.0), b = at(1.0, 0.0) - a, c = at(0.0, 1.0) - a, d = at(1.0, 1.0) - a - b - c;
  // a + b x + c y + d x y = 0: y = -(a + b x)/(c + d x) is real where Im((a + b x) conj(c + d x)) is 0
  const auto im = [](cdouble p, cdouble q) { return (p * std::conj(q)).imag(); };
  std::vector<Values> found;
  for (const std::optional<double>& root : quadratic(im(b, d), im(a, d) + im(b, c), im(a, c))) {
    // The steps below move a value by rounding only: one far outside stays there.
    if (!root || !within(model.arms[x], *root * sx, 0.01)) continue;
    double vx = *root;
    const cdouble below = c + d * vx;
    if (below == 0.0) continue;
    double vy = -((a + b * vx) * std::conj(below)).real() / std::norm(below);
    if (!within(model.arms[y], vy * sy, 0.01)) continue;
    for (int step = 0; step < 2; ++step) {  // Newton, against what the differences above have lost
      const cdouble f = at(vx, vy), fx = b + d * vy, fy = c + d * vx;
      const double det = im(fx, fy);
      if (det == 0.0) break;
      vx += -im(f, fy) / det;
      vy += im(f, fx) / det;
    }
    values[x] = vx * sx;
    values[y] = vy * sy;
    if (settle(model.arms[x], values[x]) && settle(model.arms[y], values[y])) found.push_back(values);
  }
  return found;
}

std::vector<Values> all_matches(const ContinuousModel& model, cdouble z_load) {
  if (model.differential) return solve_differential(model, z_load);
  if (model.form == TunerForm::l) {
    return solve_two(model, 1, model.side == CapacitorSide::transmitter ? 0 : 2, {}, z_load);
  }
  // With three free parts the matches form lines in the box. A line that leaves the box does so through a face, where
  // one part is at its limit; the grid is for closed ones.
  std::vector<Values> found;
  const auto add = [&](std::size_t fixed, double value) {
    Values values{};
    values[fixed] = value;
    for (const Values& v : solve_two(model, (fixed + 1) % 3, (fixed + 2) % 3, values, z_load)) found.push_back(v);
  };
  for (std::size_t k = 0; k < 3; ++k) {
    add(k, model.arms[k].low);
    if (model.arms[k].high > model.arms[k].low) add(k, model.arms[k].high);
  }
  constexpr int grid = 48;
  const FreeArm& far = model.arms[2];
  if (far.high > far.low) {
    for (int n = 1; n < grid; ++n) {
      const double part = static_cast<double>(n) / grid;
      add(2, far.low > 0.0 ? far.low * std::pow(far.high / far.low, part) : far.high * part * part);
    }
  }
  return found;
}

ContinuousMatch best_match(const std::vector<ContinuousModel>& models, cdouble z_load) {
  ContinuousMatch best;
  best.status = TunerStatus::out_of_reach;
  double least_power = network::infinite;
  for (const ContinuousModel& model : models) {
    for (const Values& values : all_matches(model, z_load)) {
      const Ends ends = ends_of(model, values, z_load);
      // A value put back inside its limits may have left the match by as much; and clearing of fractions adds false
      // roots. Through a short across nothing passes: nan.
      if (!(swr_of(ends, model.source.real()) <= 1.0 + 1e-6)) continue;
      if (best.status == TunerStatus::found && ends.power >= least_power) continue;
      least_power = ends.power;
      best = {TunerStatus::found, setting_of(model, values), dissipation_db_of(ends, z_load.real())};
    }
  }
  return best;
}

}  // namespace stile::tuner::detail
