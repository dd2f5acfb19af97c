#include <stile/sweep/correct.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/sweep/detail/least_squares.hpp>
#include <stile/sweep/detail/points.hpp>

namespace stile::sweep {
namespace {

constexpr double grows_notably = 5.0;

using detail::place_of;
using detail::to_reflection;

double reflection_per_ohm(cdouble z, double r0) { return std::abs(detail::reflection_per_ohm(z, r0)); }

/// Applies Z' = (d Z - b)/(a - c Z) at each point and carries the uncertainty along.
template <class ChainAt>
OnePort through(const OnePort& measured, const char* what, const ChainAt& chain_at) {
  OnePort result = measured;
  result.corrected = true;
  const double r0 = measured.reference_ohm;
  std::size_t grown = 0, first = 0;
  double most = grows_notably, most_hz = 0.0;
  std::vector<cdouble> derivatives;
  for (std::size_t i = 0; i < measured.z_ohm.size(); ++i) {
    const network::Chain m = chain_at(i);
    const std::array<network::Chain, 1> parts{m};
    const cdouble z = network::far_end_impedance(parts, measured.z_ohm[i]);
    const cdouble under = m.a - m.c * measured.z_ohm[i], derivative = network::determinant(m) / (under * under);
    const double per_ohm = std::abs(derivative);
    result.z_ohm[i] = z;
    result.uncertainty_ohm[i] = measured.uncertainty_ohm[i] * per_ohm;
    result.marked[i] = z.real() < 0.0;
    if (!result.noise_ohm.empty()) result.noise_ohm[i] *= per_ohm;
    for (CommonError& error : result.common_ohm) error.ohm[i] *= derivative;
    derivatives.push_back(derivative);
    const double growth = per_ohm * reflection_per_ohm(z, r0) / reflection_per_ohm(measured.z_ohm[i], r0);
    if (growth <= grows_notably) continue;
    if (grown++ == 0) first = i;
    if (growth > most) most = growth, most_hz = measured.frequency_hz[i];
  }
  for (LocalError& error : result.local_ohm)
    for (std::size_t i = 0; i < error.ohm.size(); ++i) error.ohm[i] *= derivatives[error.first + i];
  if (grown > 0)
    result.caveats.push_back(
        {FindingKind::ill_conditioned, 0, measured.frequency_hz[first], grown,
         fmt::format("{} makes the error of S11 grow more than {:.2g} times at {} points, {:.3g} times at "
                     "{}",
                     what, grows_notably, grown, most, print_quantity(most_hz, Unit::hertz, 6))});
  return result;
}

/// Appends caveats of what corrects, with a word for it; but for what a cable with an open or shorted end is anyway.
void append(std::vector<Finding>& to, const std::string& word, const std::vector<Finding>& caveats, bool reflects) {
  for (Finding caveat : caveats) {
    if (reflects && (caveat.kind == FindingKind::high_reflection || caveat.kind == FindingKind::cable ||
                     caveat.kind == FindingKind::few_points))
      continue;
    caveat.text = word + ": " + caveat.text;
    to.push_back(std::move(caveat));
  }
}

/// What corrects has an error of its own, a standard deviation of each part at each point: into the uncertainty, and
/// said where it is more than twice the rest.
void add_uncertainty(OnePort& result, const std::string& what, const std::vector<double>& own_ohm) {
  std::size_t count = 0, first = 0, worst = 0;
  for (std::size_t i = 0; i < own_ohm.size(); ++i) {
    if (own_ohm[i] > 2.0 * result.uncertainty_ohm[i]) {
      if (count++ == 0) first = i;
      if (count == 1 || own_ohm[i] > own_ohm[worst]) worst = i;
    }
    result.uncertainty_ohm[i] = std::hypot(result.uncertainty_ohm[i], own_ohm[i]);
  }
  if (count > 0)
    result.caveats.push_back(
        {FindingKind::ill_conditioned, 0, result.frequency_hz[first], count,
         fmt::format("{} is most of the uncertainty at {} of {} points, {:.2g} ohm at {}", what, count, own_ohm.size(),
                     own_ohm[worst], print_quantity(result.frequency_hz[worst], Unit::hertz, 6))});
}

/// Adds an error that all points share to the one of its name, where there is one.
void add_common(OnePort& result, CommonError error) {
  for (CommonError& there : result.common_ohm) {
    if (there.of != error.of) continue;
    for (std::size_t i = 0; i < error.ohm.size(); ++i) there.ohm[i] += error.ohm[i];
    return;
  }
  result.common_ohm.push_back(std::move(error));
}

/// The larger of the variances of R and of X at a point by the shared errors that count.
template <class Counts>
double variance_by(const OnePort& sweep, std::size_t point, const Counts& counts) {
  double r = 0.0, x = 0.0;
  for (const CommonError& error : sweep.common_ohm) {
    if (!counts(error.of)) continue;
    r += std::pow(error.ohm[point].real(), 2);
    x += std::pow(error.ohm[point].imag(), 2);
  }
  return std::max(r, x);
}

double noise_of(const OnePort& sweep, std::size_t point) {
  return sweep.noise_ohm.empty() ? sweep.uncertainty_ohm[point] : sweep.noise_ohm[point];
}

/// A standard as read at a frequency between two of its samples.
struct Reading {
  cdouble s;
  std::size_t below = 0;  ///< sample; of the one above it share[1] counts
  std::array<double, 2> share{1.0, 0.0};
  std::array<double, 2> noise{};  ///< standard deviation of each part of the two
  cdouble bent;                   ///< by how much a straight line misses a parabola there
  double uncertainty() const { return std::hypot(share[0] * noise[0], share[1] * noise[1]); }
};

/// A standard's samples as reflections, and how they bend between them.
struct Samples {
  const OnePort* sweep = nullptr;
  std::vector<cdouble> s;
  std::vector<double> noise;
  std::vector<cdouble>
      bend;  ///< second divided difference around each sample but the outer two; empty: nothing but noise
};

/// Bends count where they are more than the samples' noise makes of a straight line.
Samples samples_of(const OnePort& sweep, double r0) {
  Samples all{&sweep, {}, {}, {}};
  const std::vector<double>& f = sweep.frequency_hz;
  for (std::size_t k = 0; k < f.size(); ++k) {
    all.s.push_back(to_reflection(sweep.z_ohm[k], r0));
    all.noise.push_back(noise_of(sweep, k) * reflection_per_ohm(sweep.z_ohm[k], r0));
  }
  if (f.size() < 3) return all;
  std::vector<cdouble> bend(f.size());
  double over_noise = 0.0;
  for (std::size_t k = 1; k + 1 < f.size(); ++k) {
    const double whole = f[k + 1] - f[k - 1], c0 = 1.0 / ((f[k] - f[k - 1]) * whole),
                 c2 = 1.0 / ((f[k + 1] - f[k]) * whole), c1 = -(c0 + c2);
    bend[k] = c0 * all.s[k - 1] + c1 * all.s[k] + c2 * all.s[k + 1];
    const double by_noise = 2.0 * (std::pow(c0 * all.noise[k - 1], 2) + std::pow(c1 * all.noise[k], 2) +
                                   std::pow(c2 * all.noise[k + 1], 2));
    over_noise += std::norm(bend[k]) / by_noise;
  }
  bend.front() = bend[1];
  bend.back() = bend[f.size() - 2];
  const auto count = static_cast<double>(f.size() - 2);
  // Of noise alone the mean is 1 with a scatter of 1.4 over the root of the number, neighbours sharing samples.
  if (!(over_noise / count <= 1.0 + 10.0 / std::sqrt(count))) all.bend = std::move(bend);
  return all;
}

Reading reading_at(const Samples& of, double f) {
  const auto [k, share] = place_of(of.sweep->frequency_hz, f, of.sweep->name);
  if (share == 0.0) return {of.s[k], k, {1.0, 0.0}, {of.noise[k], 0.0}, {}};
  Reading r{of.s[k] + share * (of.s[k + 1] - of.s[k]), k, {1.0 - share, share}, {of.noise[k], of.noise[k + 1]}, {}};
  const double below_hz = of.sweep->frequency_hz[k], above_hz = of.sweep->frequency_hz[k + 1];
  if (!of.bend.empty()) r.bent = (f - below_hz) * (f - above_hz) * 0.5 * (of.bend[k] + of.bend[k + 1]);
  return r;
}

/// Solves three equations by Cramer's rule.
std::array<cdouble, 3> solve_3(const std::array<std::array<cdouble, 3>, 3>& m, const std::array<cdouble, 3>& right) {
  const auto det = [](const std::array<std::array<cdouble, 3>, 3>& a) {
    return a[0][0] * (a[1][1] * a[2][2] - a[1][2] * a[2][1]) - a[0][1] * (a[1][0] * a[2][2] - a[1][2] * a[2][0]) +
           a[0][2] * (a[1][0] * a[2][1] - a[1][1] * a[2][0]);
  };
  const cdouble whole = det(m);
  require(std::abs(whole) > 1e-12, "two of the three standards read the same: nothing can be corrected with them");
  std::array<cdouble, 3> x;
  for (std::size_t k = 0; k < 3; ++k) {
    auto replaced = m;
    for (std::size_t row = 0; row < 3; ++row) replaced[row][k] = right[row];
    x[k] = det(replaced) / whole;
  }
  return x;
}

/// Load's reflection from four readings and the standards' true reflections.
cdouble corrected(cdouble measured, const std::array<cdouble, 3>& read, const std::array<cdouble, 3>& truth) {
  std::array<std::array<cdouble, 3>, 3> m;
  for (std::size_t k = 0; k < 3; ++k) m[k] = {truth[k], cdouble(1.0), -truth[k] * read[k]};
  const auto [a, b, c] = solve_3(m, read);  // Gm = (a G + b) / (c G + 1)
  require(std::abs(a - b * c) > 1e-9 * (std::abs(a) + std::abs(b * c)),
          "two of the three standards read the same: nothing can be corrected with them");
  const cdouble under = a - c * measured;
  require(under != 0.0, "the correction has no finite answer");
  return (measured - b) / under;
}

}  // namespace

OnePort remove_ladder(const OnePort& measured, const network::Ladder& between) {
  return through(measured, "what was removed", [&](std::size_t i) {
    network::Chain all;
    for (const network::Element& element : between.elements)
      all = network::cascade(all, network::chain(element, measured.frequency_hz[i]));
    return all;
  });
}

Adapter adapter(const Sweep& sweep, double instrument_error) {
  if (sweep.ports != 2)
    throw Error(fmt::format("{}: an adapter has two ports, this file has {}", sweep.file, sweep.ports));
  Adapter result;
  result.name = sweep.file;
  result.common_error = instrument_error;
  JudgeOptions options;
  options.instrument_error = instrument_error;
  const Judgement judged = judge(sweep, options);
  result.caveats = judged.findings;
  const double error = std::max(instrument_error, judged.random_error.value_or(0.0));
  const bool one_path = has_finding(judged.findings, FindingKind::one_path);
  for (std::size_t i = 0; i < sweep.frequency_hz.size(); ++i) {
    if (sweep.frequency_hz[i] <= 0.0) continue;
    result.frequency_hz.push_back(sweep.frequency_hz[i]);
    result.s.push_back(scattering(sweep, i));
    const double rounded = sweep.kind == load::TouchstoneKind::s ? rounding_at(sweep, i) / std::sqrt(3.0) : 0.0;
    const double own = std::max(error, rounded);
    result.uncertainty.push_back(own > 0.0 || judged.random_error ? own : std::numeric_limits<double>::quiet_NaN());
  }
  const bool no_s22 = one_path && std::all_of(result.s.begin(), result.s.end(), [](const network::ScatteringMatrix& s) {
                        return std::abs(s.s22) < 1e-8;
                      });
  result.s12_is_s21 = one_path;
  result.s22_is_s11 = no_s22;
  for (network::ScatteringMatrix& s : result.s) {
    if (one_path) s.s12 = s.s21;
    if (no_s22) s.s22 = s.s11;
  }
  if (no_s22)
    result.caveats.push_back(
        {FindingKind::one_path, 0, 0.0, 1,
         "S22 of the adapter was not measured and is taken as S11: right for a symmetric one alone"});
  return result;
}

OnePort remove_adapter(const OnePort& measured, const Adapter& adapter) {
  const auto at = [&](std::size_t i) {
    const auto [k, share] = place_of(adapter.frequency_hz, measured.frequency_hz[i], adapter.name);
    network::ScatteringMatrix s = adapter.s[k];
    if (share > 0.0) {
      const network::ScatteringMatrix& t = adapter.s[k + 1];
      s.s11 += share * (t.s11 - s.s11);
      s.s12 += share * (t.s12 - s.s12);
      s.s21 += share * (t.s21 - s.s21);
      s.s22 += share * (t.s22 - s.s22);
    }
    return s;
  };
  OnePort result = through(measured, "removing the adapter", [&](std::size_t i) { return network::to_chain(at(i)); });
  if (!adapter.uncertainty.empty()) {
    // Of each S parameter that has an error of its own how it moves the points: the map is analytic, its derivative by
    // a small step.
    struct Step {
      const char* of;
      std::array<double, 4> by;  // of S11, S12, S21, S22
    };
    std::vector<Step> steps;
    if (adapter.s22_is_s11)
      steps.push_back({"S11", {1.0, 0.0, 0.0, 1.0}});
    else
      steps.insert(steps.end(), {Step{"S11", {1.0, 0.0, 0.0, 0.0}}, Step{"S22", {0.0, 0.0, 0.0, 1.0}}});
    if (adapter.s12_is_s21)
      steps.push_back({"S21", {0.0, 1.0, 1.0, 0.0}});
    else
      steps.insert(steps.end(), {Step{"S12", {0.0, 1.0, 0.0, 0.0}}, Step{"S21", {0.0, 0.0, 1.0, 0.0}}});
    std::vector<std::vector<cdouble>> moved(steps.size());
    std::vector<double> own;
    for (std::size_t i = 0; i < measured.z_ohm.size(); ++i) {
      constexpr double h = 1e-6;
      double sum = 0.0;
      for (std::size_t k = 0; k < steps.size(); ++k) {
        network::ScatteringMatrix s = at(i);
        const std::array<double, 4>& by = steps[k].by;
        s.s11 += h * by[0], s.s12 += h * by[1], s.s21 += h * by[2], s.s22 += h * by[3];
        const std::array<network::Chain, 1> parts{network::to_chain(s)};
        moved[k].push_back((network::far_end_impedance(parts, measured.z_ohm[i]) - result.z_ohm[i]) / h);
        sum += std::norm(moved[k].back());
      }
      const auto [k, share] = place_of(adapter.frequency_hz, measured.frequency_hz[i], adapter.name);
      const double u =
          share > 0.0 ? std::max(adapter.uncertainty[k], adapter.uncertainty[k + 1]) : adapter.uncertainty[k];
      own.push_back(u * std::sqrt(sum));
    }
    if (adapter.common_error > 0.0) {
      for (std::size_t k = 0; k < steps.size(); ++k) {
        for (const bool in_phase : {true, false}) {
          CommonError error{
              fmt::format("adapter {}: {}, {}", adapter.name, steps[k].of, in_phase ? "in phase" : "in quadrature"),
              moved[k]};
          for (cdouble& each : error.ohm) each *= adapter.common_error * (in_phase ? cdouble(1.0) : cdouble(0.0, 1.0));
          add_common(result, std::move(error));
        }
      }
    }
    add_uncertainty(result, "the adapter's own error", own);
  }
  append(result.caveats, "adapter", adapter.caveats, false);
  return result;
}

OnePort correct_open_short_load(const OnePort& measured, const OnePort& open, const OnePort& shorted,
                                const OnePort& match, const Standards& standards) {
  require(standards.open_capacitance_f >= 0.0 && standards.short_inductance_h >= 0.0 &&
              standards.match_inductance_h >= 0.0 && standards.match_ohm.real() > 0.0,
          "the standards need capacitance and inductances >= 0 and a match with a real part > 0");
  for (const OnePort* sweep : {&measured, &open, &shorted, &match})
    if (sweep->corrected)
      throw DomainError(fmt::format(
          "\"{}\" has been corrected before: open, short and load must be the first correction", sweep->name));
  OnePort result = measured;
  result.corrected = true;
  result.common_ohm.clear();  // directivity, tracking and match are what the standards take away
  const double r0 = measured.reference_ohm;
  const std::size_t points = measured.z_ohm.size();
  result.noise_ohm.assign(points, 0.0);
  const std::array<Samples, 3> samples{samples_of(open, r0), samples_of(shorted, r0), samples_of(match, r0)};
  std::array<std::vector<LocalError>, 3> local;  // of each sample of each standard
  std::vector<cdouble> bent(points);             // what the standards' bends make of each point
  for (std::size_t k = 0; k < 3; ++k) local[k].resize(samples[k].s.size());
  std::size_t grown = 0, first = 0, missed = 0, first_missed = 0, worst_missed = 0;
  double most = grows_notably, most_hz = 0.0, most_missed = 0.0;
  for (std::size_t i = 0; i < points; ++i) {
    const double f = measured.frequency_hz[i], w = 2.0 * pi * f;
    const cdouble y_open = cdouble(0.0, w * standards.open_capacitance_f * r0);
    const std::array<cdouble, 3> truth{
        (1.0 - y_open) / (1.0 + y_open), to_reflection(cdouble(0.0, w * standards.short_inductance_h), r0),
        to_reflection(standards.match_ohm + cdouble(0.0, w * standards.match_inductance_h), r0)};
    const std::array<Reading, 3> reading{reading_at(samples[0], f), reading_at(samples[1], f),
                                         reading_at(samples[2], f)};
    const std::array<cdouble, 3> read{reading[0].s, reading[1].s, reading[2].s};
    const cdouble s = to_reflection(measured.z_ohm[i], r0);
    const cdouble g = corrected(s, read, truth);
    require(g != 1.0, "a corrected point is an open circuit");
    const cdouble z = r0 * (1.0 + g) / (1.0 - g);
    const cdouble per_reflection = 1.0 / detail::reflection_per_ohm(z, r0);
    // The map is analytic in each reading: its derivative by a small step.
    constexpr double h = 1e-6;
    const double own = std::abs(corrected(s + h, read, truth) - g) / h;
    double noise = std::pow(own * noise_of(measured, i) * reflection_per_ohm(measured.z_ohm[i], r0), 2);
    for (std::size_t k = 0; k < 3; ++k) {
      auto moved = read;
      moved[k] += h;
      const cdouble derivative = (corrected(s, moved, truth) - g) / h;
      const Reading& r = reading[k];
      noise += std::pow(std::abs(derivative) * r.uncertainty(), 2);
      for (std::size_t side = 0; side < 2; ++side) {
        if (!(r.share[side] * r.noise[side] > 0.0)) continue;
        LocalError& error = local[k][r.below + side];
        if (error.ohm.empty()) error.first = i;
        error.ohm.push_back(derivative * r.share[side] * r.noise[side] * per_reflection);
      }
      bent[i] += derivative * r.bent * per_reflection;
    }
    const double bends = std::norm(bent[i] / per_reflection);
    result.z_ohm[i] = z;
    result.noise_ohm[i] = std::sqrt(noise) * std::abs(per_reflection);
    result.uncertainty_ohm[i] = std::sqrt(noise + bends) * std::abs(per_reflection);
    result.marked[i] = z.real() < 0.0;
    if (bends > 4.0 * noise) {
      if (missed++ == 0) first_missed = i;
      if (bends > most_missed) most_missed = bends, worst_missed = i;
    }
    if (own <= grows_notably) continue;
    if (grown++ == 0) first = i;
    if (own > most) most = own, most_hz = f;
  }
  for (std::vector<LocalError>& errors : local)
    for (LocalError& error : errors)
      if (error.ohm.size() > 1) result.local_ohm.push_back(std::move(error));
  if (std::any_of(bent.begin(), bent.end(), [](cdouble off) { return off != 0.0; }))
    add_common(result,
               {fmt::format("between the points of {}, {}, {}", open.name, shorted.name, match.name), std::move(bent)});
  if (missed > 0)
    result.caveats.push_back(
        {FindingKind::few_points, 0, measured.frequency_hz[first_missed], missed,
         fmt::format("the standards have too few points: what a straight line between them misses is most of the "
                     "uncertainty at {} of {} points, {:.2g} of the reflection at {}",
                     missed, points, std::sqrt(most_missed),
                     print_quantity(measured.frequency_hz[worst_missed], Unit::hertz, 6))});
  if (grown > 0)
    result.caveats.push_back(
        {FindingKind::ill_conditioned, 0, measured.frequency_hz[first], grown,
         fmt::format("open, short and load lie close together: the error of S11 grows more than {:.2g} "
                     "times at {} points, {:.3g} times at {}",
                     grows_notably, grown, most, print_quantity(most_hz, Unit::hertz, 6))});
  append(result.caveats, "open", open.caveats, true);
  append(result.caveats, "short", shorted.caveats, true);
  append(result.caveats, "match", match.caveats, false);
  return result;
}

OnePort extend_port(const OnePort& measured, double delay_s) {
  require(std::isfinite(delay_s), "the delay must be finite");
  const double r0 = measured.reference_ohm;
  return through(measured, "the port extension", [&](std::size_t i) {
    const double angle = 2.0 * pi * measured.frequency_hz[i] * delay_s;
    return network::Chain{std::cos(angle), cdouble(0.0, r0 * std::sin(angle)), cdouble(0.0, std::sin(angle) / r0),
                          std::cos(angle)};
  });
}

std::vector<cdouble> renormalised_reflection(const OnePort& sweep, cdouble z_ref_ohm,
                                             network::WaveDefinition definition) {
  std::vector<cdouble> s;
  for (const cdouble& z : sweep.z_ohm) s.push_back(network::reflection(z, z_ref_ohm, definition));
  return s;
}

EstimatedLine estimate_line(const OnePort& measured, FarEnd far_end, double z0_ohm, double velocity_factor) {
  require(std::isfinite(z0_ohm) && z0_ohm > 0.0, "the cable's impedance must be finite and > 0 ohm");
  require(velocity_factor > 0.0 && velocity_factor <= 1.0, "the velocity factor must be > 0 and at most 1");
  const std::size_t n = measured.z_ohm.size();
  require(n >= 5, "a line needs 5 points or more");
  const double sign = far_end == FarEnd::open ? 1.0 : -1.0;
  std::vector<cdouble> s(n);
  for (std::size_t i = 0; i < n; ++i) {
    s[i] = sign * to_reflection(measured.z_ohm[i], z0_ohm);
    require(s[i] != 0.0, "S11 = 0: not the end of a line");
  }
  const std::vector<double> angle = detail::unwrapped_angle(s);
  const double whole_turn = angle.front() > 0.0 ? two_pi : 0.0;  // within half a wave at the first point
  double ff = 0.0, fa = 0.0, aa = 0.0, al = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    const double f = measured.frequency_hz[i];
    require(i == 0 || std::abs(angle[i] - angle[i - 1]) <= 0.5 * pi,
            "the angle turns by more than a quarter turn a step: too few points for this line");
    ff += f * f;
    fa += f * (angle[i] - whole_turn);
    // ln |S| = -2 k1 sqrt(f) ln10/20, f in MHz, for a start
    const double a = -std::sqrt(1e-6 * f) * std::log(10.0) / 10.0;
    aa += a * a;
    al += a * std::log(std::abs(s[i]));
  }
  const double delay = -fa / ff / (4.0 * pi);
  require(delay > 0.0, "the angle does not fall with frequency: not the far end of a line");
  const double length_0 = delay * velocity_factor * speed_of_light_m_s;
  const double k1_0 = std::max(1e-6, al / aa / length_0), k2_0 = 0.1 * k1_0;
  const auto cable_of = [&](const std::vector<double>& x) {
    return network::Cable{"estimated",
                          z0_ohm,
                          velocity_factor,
                          k1_0 * std::exp(std::clamp(x[1], -30.0, 5.0)),
                          x.size() > 2 ? k2_0 * std::exp(std::clamp(x[2], -30.0, 5.0)) : 0.0,
                          "fitted to a sweep of " + measured.name};
  };
  const auto residuals = [&](const std::vector<double>& x) {
    const network::Cable cable = cable_of(x);
    std::vector<double> r;
    for (std::size_t i = 0; i < n; ++i) {
      const network::Chain m = network::line_chain(network::line_from_cable(cable, measured.frequency_hz[i]),
                                                   length_0 * std::exp(std::clamp(x[0], -1.0, 1.0)));
      const cdouble v = far_end == FarEnd::open ? m.a : m.b, w = far_end == FarEnd::open ? m.c : m.d;
      const cdouble off = sign * (v - z0_ohm * w) / (v + z0_ohm * w) - s[i];
      r.push_back(off.real());
      r.push_back(off.imag());
    }
    return r;
  };
  detail::LeastSquares best = detail::least_squares(residuals, {0.0, 0.0, 0.0}, 2 * n);
  if (!best.converged || best.covariance.empty() || best.covariance[2][2] > 1e6)
    best = detail::least_squares(residuals, {0.0, 0.0}, 2 * n);  // the data leave the dielectric's part open
  require(best.converged && !best.covariance.empty(), "the sweep does not determine a line");
  EstimatedLine line;
  line.cable = cable_of(best.parameters);
  line.length_m = length_0 * std::exp(best.parameters[0]);
  line.delay_s = line.length_m / (velocity_factor * speed_of_light_m_s);
  line.k1_db_at_1mhz = line.cable.k1_db_per_m_at_1mhz * line.length_m;
  line.k2_db_at_1mhz = line.cable.k2_db_per_m_at_1mhz * line.length_m;
  const double root = std::sqrt(10.0);
  line.loss_db_at_10mhz = line.k1_db_at_1mhz * root + line.k2_db_at_1mhz * 10.0;
  line.residual =
      std::sqrt(std::inner_product(best.residuals.begin(), best.residuals.end(), best.residuals.begin(), 0.0) /
                static_cast<double>(n));
  const std::vector<std::vector<double>> changes =
      detail::changes_of(detail::reflection_errors(measured, z0_ohm), std::vector<double>(n, sign));
  const std::vector<std::size_t> part = detail::parts_of(n);
  const detail::Scatter scatter =
      detail::scatter(detail::less_shared(best, changes, detail::scatter(best, part).noise), part);
  const std::size_t sought = best.parameters.size();
  line.covariance = best.covariance;
  for (std::vector<double>& row : line.covariance)
    for (double& each : row) each *= std::pow(scatter.widened * scatter.sigma, 2);
  std::vector<std::vector<double>> whole = line.covariance;
  const std::vector<std::vector<double>> by_shared = detail::shifts_by(best, changes);
  for (std::size_t k = 0; k < by_shared.size(); ++k) {
    line.shared.push_back({measured.common_ohm[k].of, by_shared[k]});
    for (std::size_t a = 0; a < sought; ++a)
      for (std::size_t b = 0; b < sought; ++b) whole[a][b] += by_shared[k][a] * by_shared[k][b];
  }
  const double wide = detail::half_width_95(scatter.freedom);
  line.delay_uncertainty_s = wide * line.delay_s * std::sqrt(whole[0][0]);
  // The loss by its derivatives to the logarithms of length, k1, k2.
  const std::array<double, 3> d{line.loss_db_at_10mhz, line.k1_db_at_1mhz * root, line.k2_db_at_1mhz * 10.0};
  double variance = 0.0;
  for (std::size_t a = 0; a < sought; ++a)
    for (std::size_t b = 0; b < sought; ++b) variance += d[a] * d[b] * whole[a][b];
  line.loss_uncertainty_db_at_10mhz = wide * std::sqrt(std::max(0.0, variance));
  if (scatter.structured)
    line.caveats.push_back(
        {FindingKind::cable, 0, 0.0, n,
         fmt::format("cable: what is left over is no noise (correlation of neighbours {:.2g}): another "
                     "impedance than {:.4g} ohm, or an end that is neither open nor shorted; its "
                     "uncertainties are widened {:.2g} times",
                     scatter.correlation, z0_ohm, scatter.widened)});
  append(line.caveats, "cable", measured.caveats, true);
  return line;
}

OnePort remove_line(const OnePort& measured, const EstimatedLine& line) {
  const auto chain_of = [&](std::size_t i, const std::array<double, 3>& moved) {
    network::Cable cable = line.cable;
    cable.k1_db_per_m_at_1mhz *= std::exp(moved[1]);
    cable.k2_db_per_m_at_1mhz *= std::exp(moved[2]);
    return network::line_chain(network::line_from_cable(cable, measured.frequency_hz[i]),
                               line.length_m * std::exp(moved[0]));
  };
  OnePort result = through(measured, "removing the cable", [&](std::size_t i) { return chain_of(i, {0.0, 0.0, 0.0}); });
  const std::size_t points = measured.z_ohm.size();
  // What a shift of the estimate makes of each point, by a small part of it.
  const auto moved_by = [&](const std::vector<double>& shift) {
    constexpr double h = 1e-3;
    std::array<double, 3> up{}, down{};
    for (std::size_t a = 0; a < shift.size(); ++a) up[a] = h * shift[a], down[a] = -up[a];
    std::vector<cdouble> moved;
    for (std::size_t i = 0; i < points; ++i) {
      const std::array<network::Chain, 1> more{chain_of(i, up)}, less{chain_of(i, down)};
      moved.push_back(
          (network::far_end_impedance(more, measured.z_ohm[i]) - network::far_end_impedance(less, measured.z_ohm[i])) /
          (2.0 * h));
    }
    return moved;
  };
  const auto in_both = [&](const std::string& of) {
    return std::any_of(line.shared.begin(), line.shared.end(), [&](const LineShift& each) { return each.of == of; });
  };
  std::vector<double> before, others;  // variances by errors that the cable's sweep has too, and by those it has not
  for (std::size_t i = 0; i < points; ++i) {
    before.push_back(variance_by(result, i, in_both));
    others.push_back(variance_by(result, i, [&](const std::string& of) { return !in_both(of); }));
  }
  for (const LineShift& shift : line.shared) add_common(result, {shift.of, moved_by(shift.by)});
  std::vector<double> own;
  for (std::size_t i = 0; i < points; ++i) {
    // The uncertainty has the instrument's three errors together as the one stated, the rows each of them: what is
    // added counts in that proportion.
    const double after = variance_by(result, i, in_both), whole = std::pow(result.uncertainty_ohm[i], 2);
    const double measure = before[i] > whole ? whole / before[i] : 1.0;
    own.push_back(std::sqrt(measure * std::max(0.0, after - before[i])));
    if (after >= before[i]) continue;
    const double of_instrument = std::max(0.0, whole - std::pow(noise_of(result, i), 2) - others[i]);
    result.uncertainty_ohm[i] = std::sqrt(whole - of_instrument * (1.0 - after / before[i]));
  }
  const std::vector<std::vector<double>> shifts = detail::independent_shifts(line.covariance);
  std::vector<double> r(points, 0.0), x(points, 0.0);
  for (std::size_t k = 0; k < shifts.size(); ++k) {
    CommonError error{fmt::format("cable {}: {} of {}", line.cable.source, k + 1, shifts.size()), moved_by(shifts[k])};
    for (std::size_t i = 0; i < points; ++i)
      r[i] += std::pow(error.ohm[i].real(), 2), x[i] += std::pow(error.ohm[i].imag(), 2);
    add_common(result, std::move(error));
  }
  for (std::size_t i = 0; i < points; ++i) own[i] = std::hypot(own[i], std::sqrt(std::max(r[i], x[i])));
  add_uncertainty(result, "the estimated cable's own error", own);
  result.caveats.insert(result.caveats.end(), line.caveats.begin(), line.caveats.end());
  return result;
}

}  // namespace stile::sweep
