#include <stile/sweep/judge.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <Eigen/Core>
#include <Eigen/LU>
#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/sweep/detail/points.hpp>
#include <stile/sweep/resonance.hpp>

namespace stile::sweep {
namespace {

constexpr double high_reflection = 0.98;
constexpr double turn_to_metres_per_hz = 0.66 * 299792458.0 / 2.0;  // a turn of S11 is half a wavelength

double median(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

std::string points(std::size_t n) { return n == 1 ? "1 point" : std::to_string(n) + " points"; }

std::string hertz(double f) { return print_quantity(f, Unit::hertz, 6); }

void check(const JudgeOptions& o) {
  require(o.reference_error >= 0.0 && o.reference_error <= 0.5, "the reference error must be 0..0.5");
  require(o.instrument_error >= 0.0 && o.instrument_error <= 0.5, "the instrument's error must be 0..0.5");
  require(!o.reference_ohm || (*o.reference_ohm > 0.0 && std::isfinite(*o.reference_ohm)),
          "the stated reference must be finite and > 0 ohm");
}

struct Points {
  std::vector<std::size_t> index;  // into the sweep
  std::vector<double> f;
  std::vector<cdouble> s;
};

/// What one sweep shows, finding by finding.
class Judge {
public:
  Judge(const Sweep& sweep, const JudgeOptions& options) : sweep_(sweep), options_(options) { check(options); }

  Judgement run() {
    result_.findings = sweep_.findings;
    find_reference();
    collect();
    if (sweep_.magnitude_only) {
      add(FindingKind::magnitude_only, 0, 0.0, points_.f.size(),
          "SWR or |S11| alone: what is known is |S11|; R, X, the sign of X and whether a cable lies between are not");
    } else if (!points_.f.empty()) {
      find_random_error();
      find_high_reflection();
      find_rounding();
      find_jumps();
      find_folded();
      find_rotation();
      find_resonances();
    }
    if (sweep_.ports == 2) find_two_port();
    if (sweep_.ports > 1) find_other_ports();
    decide();
    std::stable_sort(result_.findings.begin(), result_.findings.end(),
                     [](const Finding& a, const Finding& b) { return a.kind < b.kind; });
    return std::move(result_);
  }

private:
  void add(FindingKind kind, std::size_t line, double f, std::size_t count, std::string text) {
    result_.findings.push_back({kind, line, f, count, std::move(text)});
  }
  bool found(FindingKind kind) const { return has_finding(result_.findings, kind); }
  void cut(std::size_t i) {
    result_.cut.push_back(sweep_.line[i]);
    result_.cut_points.push_back(i);
  }
  std::size_t line(std::size_t i) const { return sweep_.line[points_.index[i]]; }

  void find_reference() {
    const double r = sweep_.reference_ohm.front();
    if (options_.reference_ohm && *options_.reference_ohm != r) {
      add(FindingKind::reference, 0, 0.0, 1,
          fmt::format("the file refers to {:.6g} ohm, {:.6g} ohm is stated: one of them is wrong, and R and X with it",
                      r, *options_.reference_ohm));
    } else if (!options_.reference_ohm && r != 50.0 && r != 75.0) {
      add(FindingKind::reference, 0, 0.0, 1,
          fmt::format("an unusual reference of {:.6g} ohm: is it what the instrument was calibrated to?", r));
    }
    for (const double other : sweep_.reference_ohm)
      if (other != r) {
        add(FindingKind::reference, 0, 0.0, 1, "the ports have different references");
        break;
      }
  }

  /// Points with a usable S11; what is cut on the way is listed.
  void collect() {
    std::size_t above = 0, above_first = 0, open = 0, open_first = 0, still = 0;
    double most = 1.0, most_hz = 0.0;
    const double scale = options_.above_one == AboveOne::scale ? 1.0 / (1.0 + options_.reference_error) : 1.0;
    for (std::size_t i = 0; i < sweep_.frequency_hz.size(); ++i) {
      const double f = sweep_.frequency_hz[i];
      if ((options_.band_low_hz && f < *options_.band_low_hz) || (options_.band_high_hz && f > *options_.band_high_hz))
        continue;
      if (f == 0.0) {
        add(FindingKind::zero_frequency, sweep_.line[i], 0.0, 1, "a point at 0 Hz is left out");
        cut(i);
        continue;
      }
      const cdouble s = reflection_at(sweep_, i);
      const double magnitude = std::abs(s);
      if (magnitude > 1.0 + 1e-9) {
        if (above++ == 0) above_first = sweep_.line[i];
        if (magnitude > most) most = magnitude, most_hz = f;
        if (magnitude * scale > 1.0 && options_.above_one != AboveOne::keep) {
          ++still;
          cut(i);
          continue;
        }
      }
      if (!sweep_.magnitude_only && s == 1.0 && !options_.keep_open) {
        if (open++ == 0) open_first = sweep_.line[i];
        cut(i);
        continue;
      }
      points_.index.push_back(i);
      points_.f.push_back(f);
      points_.s.push_back(s * scale);
    }
    if (above > 0) {
      std::string what = "kept with their negative resistance";
      if (options_.above_one == AboveOne::cut) what = "cut";
      if (options_.above_one == AboveOne::scale)
        what = fmt::format("scaled by 1/{:.6g}, {} of them still above and cut", 1.0 + options_.reference_error, still);
      add(FindingKind::above_one, above_first, most_hz, above,
          fmt::format("|S11| above 1 at {} of {}, by {:.4g} at most, at {}: more comes back than went in; {}", above,
                      points(sweep_.frequency_hz.size()), most - 1.0, hertz(most_hz), what));
    }
    if (open > 0)
      add(FindingKind::open_circuit, open_first, 0.0, open,
          fmt::format("S11 = 1, an open circuit without an impedance, at {}; cut", points(open)));
  }

  void find_random_error() {
    const auto& s = points_.s;
    if (s.size() < 9) return;
    std::vector<double> difference;
    difference.reserve(s.size());
    for (std::size_t i = 2; i + 2 < s.size(); ++i)
      difference.push_back(std::abs(s[i - 2] - 4.0 * s[i - 1] + 6.0 * s[i] - 4.0 * s[i + 1] + s[i + 2]));
    result_.random_error = median(std::move(difference)) / (1.1774100225154747 * std::sqrt(70.0));
    const double error = std::max(*result_.random_error, options_.instrument_error);
    std::size_t bad = 0, first = 0, last = 0;
    for (std::size_t i = 0; i < s.size(); ++i) {
      // dR = dS |1-S|^-2 2 R0 and R = R0 (1-|S|^2)/|1-S|^2: relative 2 dS / (1-|S|^2).
      if (2.0 * error <= 0.1 * std::abs(1.0 - std::norm(s[i]))) continue;
      if (bad++ == 0) first = i;
      last = i;
    }
    if (bad == 0) return;
    add(FindingKind::noise_floor, line(first), points_.f[first], bad,
        fmt::format("S11 is uncertain by {:.2g} ({}): R by more than a tenth at {} from {} to {}", error,
                    options_.instrument_error > *result_.random_error ? "as stated" : "scatter of neighbours",
                    points(bad), hertz(points_.f[first]), hertz(points_.f[last])));
  }

  void find_high_reflection() {
    std::size_t count = 0, first = 0, last = 0;
    for (std::size_t i = 0; i < points_.s.size(); ++i) {
      if (std::abs(points_.s[i]) <= high_reflection) continue;
      if (count++ == 0) first = i;
      last = i;
    }
    if (count == 0) return;
    add(FindingKind::high_reflection, line(first), points_.f[first], count,
        fmt::format("|S11| above {} at {} from {} to {}: R is lost in the instrument's own error, X is not",
                    high_reflection, points(count), hertz(points_.f[first]), hertz(points_.f[last])));
  }

  void find_rounding() {
    std::vector<double> steps;
    for (const std::size_t i : points_.index) steps.push_back(rounding_at(sweep_, i));
    const double step = median(std::move(steps));
    double limit = 5e-4;
    const char* what = "S11";
    if (sweep_.kind == load::TouchstoneKind::z) {
      std::vector<double> r;
      for (const std::size_t i : points_.index) r.push_back(std::abs(sweep_.at(i)[0].real()));
      limit = 0.01 * median(std::move(r));
      what = "R and X in ohm";
    } else if (sweep_.kind != load::TouchstoneKind::s) {
      return;
    }
    if (step <= limit) return;
    add(FindingKind::rounding, line(0), 0.0, points_.f.size(),
        fmt::format("the columns are rounded: {} to +-{:.2g}", what, step));
  }

  void find_jumps() {
    const auto& s = points_.s;
    const auto& f = points_.f;
    if (s.size() < 9) return;
    // How far each step is from the mean of its neighbours' slopes.
    std::vector<double> off(s.size() - 1, 0.0);
    for (std::size_t i = 1; i + 2 < s.size(); ++i) {
      const cdouble before = (s[i] - s[i - 1]) / (f[i] - f[i - 1]),
                    after = (s[i + 2] - s[i + 1]) / (f[i + 2] - f[i + 1]);
      off[i] = std::abs(s[i + 1] - s[i] - 0.5 * (before + after) * (f[i + 1] - f[i]));
    }
    const double least = std::max(20.0 * result_.random_error.value_or(0.0), 0.01);
    const auto at = [&](std::size_t i, int shift) {
      const auto k = static_cast<std::ptrdiff_t>(i) + shift;
      return k < 1 || k + 2 >= static_cast<std::ptrdiff_t>(off.size()) ? 0.0 : off[static_cast<std::size_t>(k)];
    };
    std::size_t count = 0, first = 0, worst_at = 0;
    double worst = 0.0;
    for (std::size_t i = 1; i + 2 < s.size(); ++i) {
      // The step beside a jump, and the way back from a single point, are its own doing.
      if (off[i] < least || off[i] < 0.8 * at(i, 1)) continue;
      if (off[i] <= 6.0 * std::max({at(i, -4), at(i, -3), at(i, 3), at(i, 4)})) continue;
      if (count++ == 0) first = i;
      if (off[i] > worst) worst = off[i], worst_at = i;
      i += 2;
    }
    if (count == 0) return;
    add(FindingKind::jump, line(first + 1), f[first + 1], count,
        fmt::format("{}, the largest of {:.2g} in S11 at {}", count == 1 ? "a jump" : fmt::format("{} jumps", count),
                    worst, hertz(f[worst_at + 1])));
  }

  cdouble z(std::size_t i) const { return sweep_.reference_ohm.front() * (1.0 + points_.s[i]) / (1.0 - points_.s[i]); }

  void find_folded() {
    const std::size_t n = points_.s.size();
    if (n < 7) return;
    double least = 0.0, most = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      const double x = z(i).imag();
      least = std::min(least, x);
      most = std::max(most, x);
    }
    if (least < -1e-9 * most || most == 0.0) return;
    for (std::size_t i = 3; i + 3 < n; ++i) {
      const double x = z(i).imag();
      if (x > z(i - 1).imag() || x > z(i + 1).imag()) continue;
      const double left = (z(i - 3).imag() - z(i - 1).imag()) / (points_.f[i - 1] - points_.f[i - 3]);
      const double right = (z(i + 3).imag() - z(i + 1).imag()) / (points_.f[i + 3] - points_.f[i + 1]);
      const double step = std::max(left, right) * (points_.f[i + 1] - points_.f[i - 1]);
      if (left <= 0.0 || right <= 0.0 || left > 2.5 * right || right > 2.5 * left || x > step || x > 0.05 * most)
        continue;
      add(FindingKind::folded_reactance, line(i), points_.f[i], 1,
          fmt::format(
              "X is never negative and has a corner at 0, at {}: the instrument does not tell its sign; on one side "
              "of the corner it is the other way round",
              hertz(points_.f[i])));
      return;
    }
  }

  void find_resonances() {
    std::vector<cdouble> all;
    for (std::size_t i = 0; i < points_.s.size(); ++i) all.push_back(z(i));
    const double r0 = sweep_.reference_ohm.front();
    const double error = std::max(result_.random_error.value_or(0.0), options_.instrument_error);
    for (const Resonance& r : resonances(points_.f, all)) {
      if (r.q <= 0.0) continue;
      // An open, a short, a cable alone turn through X = 0 without a resonance of their own; and where no error is
      // known, R (of a parallel resonance G) is not either when |S11| is nearly 1, and so the width is not.
      if (std::abs(detail::to_reflection(r.resistance_ohm, r0)) > high_reflection &&
          (error == 0.0 || found(FindingKind::cable)))
        continue;
      const auto uncertain = [&](std::size_t i) {
        const cdouble over = (r.parallel ? 1.0 / all[i] : all[i]) * (r.parallel ? r0 : 1.0 / r0);
        return error * std::norm(1.0 + over) / 2.0 > 0.5 * (r.parallel ? r0 / r.resistance_ohm : r.resistance_ohm / r0);
      };
      if (uncertain(r.below) || uncertain(r.below + 1)) continue;
      const double half = 0.5 * r.frequency_hz / r.q;
      std::size_t within = 0;
      for (std::size_t k = r.below + 1; k-- > 0 && points_.f[k] >= r.frequency_hz - half;) ++within;
      for (std::size_t k = r.below + 1; k < points_.f.size() && points_.f[k] <= r.frequency_hz + half; ++k) ++within;
      if (within >= 4) continue;
      add(FindingKind::few_points, line(r.below), r.frequency_hz, within,
          fmt::format("{} within the width of the {}resonance near {}: Q and the {} R are not resolved", points(within),
                      r.parallel ? "parallel " : "", hertz(r.frequency_hz), r.parallel ? "highest" : "least"));
    }
  }

  void find_rotation() {
    const std::size_t n = points_.s.size();
    if (n < 8) return;
    const std::vector<double> angle = detail::unwrapped_angle(points_.s);
    std::size_t wide = 0;
    for (std::size_t i = 1; i < n; ++i)
      if (std::abs(angle[i] - angle[i - 1]) > 0.5 * pi) ++wide;
    double mf = 0.0, ma = 0.0, least = 1e300;
    for (std::size_t i = 0; i < n; ++i) {
      mf += points_.f[i] / static_cast<double>(n);
      ma += angle[i] / static_cast<double>(n);
      least = std::min(least, std::abs(points_.s[i]));
    }
    double sff = 0.0, sfa = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      sff += (points_.f[i] - mf) * (points_.f[i] - mf);
      sfa += (points_.f[i] - mf) * (angle[i] - ma);
    }
    const double per_hz = sfa / sff;  // radian
    double off = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      const double e = angle[i] - ma - per_hz * (points_.f[i] - mf);
      off += e * e / static_cast<double>(n);
    }
    off = std::sqrt(off) / (2.0 * pi);
    const double turns = (angle.front() - angle.back()) / (2.0 * pi);
    const bool narrow = points_.f.back() < 3.0 * points_.f.front();
    if ((turns > 1.1 && (narrow || off < 0.03 * turns)) || (turns > 0.2 && !narrow && off < 0.01 * turns)) {
      add(FindingKind::cable, 0, 0.0, n,
          fmt::format("S11 turns by {:.2g} turns, as behind {:.2g} m of line (velocity factor 0.66): if a cable lies "
                      "between, R and X are those of its near end and SWR is flattered by its loss",
                      turns, turns / (points_.f.back() - points_.f.front()) * turn_to_metres_per_hz));
    }
    const double limit = std::max(5.0 * pi / 180.0, 10.0 * result_.random_error.value_or(0.0));
    const double rise = angle.back() - angle.front();
    if (per_hz > 0.0 && rise > limit && least > 0.5 && 20 * wide < n && two_pi * off < 0.1 * rise) {
      add(FindingKind::plane, 0, 0.0, n,
          fmt::format(
              "S11 turns counter-clockwise, by {:.2g} degrees: the calibration plane lies beyond the load, by some "
              "{:.2g} m of line (velocity factor 0.66)",
              rise * 180.0 / pi, per_hz / (2.0 * pi) * turn_to_metres_per_hz));
      return;
    }
    for (std::size_t i = 0; i + 4 < n;) {
      std::size_t k = i;
      while (k + 1 < n && std::abs(points_.s[k]) > 0.9 && std::abs(points_.s[k + 1]) > 0.9 && angle[k + 1] > angle[k] &&
             angle[k + 1] - angle[k] < 0.5 * pi)
        ++k;
      if (k >= i + 5 && angle[k] - angle[i] > limit) {
        add(FindingKind::causality, line(i), points_.f[i], k - i + 1,
            fmt::format(
                "S11 turns counter-clockwise by {:.2g} degrees from {} to {} with |S11| above 0.9: no passive load "
                "does; look at the calibration",
                (angle[k] - angle[i]) * 180.0 / pi, hertz(points_.f[i]), hertz(points_.f[k])));
        return;
      }
      i = std::max(k, i + 1);
    }
  }

  void find_two_port() {
    std::size_t silent = 0, silent_back = 0;
    std::vector<double> difference;
    const std::size_t n = sweep_.frequency_hz.size();
    for (std::size_t i = 0; i < n; ++i) {
      const network::ScatteringMatrix s = scattering(sweep_, i);
      if (std::abs(s.s12) < 1e-8 && (std::abs(s.s22) < 1e-8 || std::abs(s.s21) > 1e-6)) ++silent;
      if (std::abs(s.s22) < 1e-8) ++silent_back;
      difference.push_back(std::max(std::abs(s.s22 - s.s11), std::abs(s.s12 - s.s21)));
    }
    if (silent == n)
      add(FindingKind::one_path, 0, 0.0, n,
          std::string("S12 is 0 throughout: not measured, taken as S21; S22 ") +
              (silent_back == n ? "is 0 throughout too and not known: one direction alone" : "was measured"));
    const double off = median(std::move(difference));
    if (silent != n && off < 0.02)
      add(FindingKind::repeated_columns, 0, 0.0, n,
          fmt::format("S22 and S12 repeat S11 and S21, to {:.2g} in the median: either the two-port is symmetric, or "
                      "they were not "
                      "measured",
                      off));
  }

  /// What the columns beside S11 show, of any number of ports.
  void find_other_ports() {
    const std::size_t n = sweep_.frequency_hz.size(), ports = sweep_.ports;
    struct Far {  // how many points, the first of them, and the furthest
      std::size_t count = 0, first = 0;
      double most = 0.0, hz = 0.0;
      void add(std::size_t point, double by, double at_hz) {
        if (count++ == 0) first = point;
        if (by > most) most = by, hz = at_hz;
      }
    };
    struct Pair {  // of ports, row < column
      std::size_t row = 0, column = 0;
      double forward = 0.0, back = 0.0;  // the most of |S_row,column| and of |S_column,row|
      Far apart;
    };
    const bool one_path = found(FindingKind::one_path);  // of two ports it is said already
    std::vector<Pair> pairs;
    for (std::size_t row = 0; row < ports; ++row)
      for (std::size_t column = row + 1; column < ports; ++column) pairs.push_back({row, column, 0.0, 0.0, {}});
    Far active;
    std::vector<Far> above(ports);
    const double limit = std::max(0.02, 10.0 * std::max(result_.random_error.value_or(0.0), options_.instrument_error));
    for (std::size_t i = 0; i < n; ++i) {
      const std::vector<cdouble> s = scattering_of(sweep_, i);
      const double f = sweep_.frequency_hz[i];
      double gain = 0.0;
      for (std::size_t column = 0; column < ports; ++column) {
        double power = 0.0;
        for (std::size_t row = 0; row < ports; ++row) power += std::norm(s[row * ports + column]);
        gain = std::max(gain, power);
        const double reflection = std::abs(s[column * ports + column]);
        if (reflection > 1.0 + 1e-9) above[column].add(i, reflection - 1.0, f);
      }
      if (gain > 1.0 + 1e-9) active.add(i, gain, f);
      for (Pair& p : pairs) {
        const cdouble forward = s[p.row * ports + p.column], back = s[p.column * ports + p.row];
        p.forward = std::max(p.forward, std::abs(forward));
        p.back = std::max(p.back, std::abs(back));
        if (std::abs(forward - back) > limit) p.apart.add(i, std::abs(forward - back), f);
      }
    }
    for (std::size_t port = 1; port < ports; ++port)
      if (above[port].count > 0)
        add(FindingKind::above_one, sweep_.line[above[port].first], above[port].hz, above[port].count,
            fmt::format("|S{0}{0}| above 1 at {1} of {2}, by {3:.4g} at most, at {4}; kept", port + 1,
                        above[port].count, points(n), above[port].most, hertz(above[port].hz)));
    for (const Pair& p : pairs) {
      if (one_path || p.apart.count == 0) continue;
      const std::string there = fmt::format("S{}{}", p.row + 1, p.column + 1),
                        back = fmt::format("S{}{}", p.column + 1, p.row + 1);
      if (ports > 2 && std::min(p.forward, p.back) < 1e-8) {
        add(FindingKind::one_path, 0, 0.0, n,
            fmt::format("{} is 0 throughout and {} is not: not measured", p.forward < p.back ? there : back,
                        p.forward < p.back ? back : there));
        continue;
      }
      add(FindingKind::not_reciprocal, sweep_.line[p.apart.first], p.apart.hz, p.apart.count,
          fmt::format(
              "{} and {} differ at {}, by {:.2g} at most, at {}: an amplifier or isolator, or one direction was "
              "not calibrated",
              there, back, points(p.apart.count), p.apart.most, hertz(p.apart.hz)));
    }
    if (active.count > 0)
      add(FindingKind::not_passive, sweep_.line[active.first], active.hz, active.count,
          fmt::format("more power leaves than enters at {}, by {:.3g} dB at most: an amplifier, or the calibration",
                      points(active.count), 10.0 * std::log10(active.most)));
  }

  void decide() {
    const std::size_t n = points_.f.size();
    if (n == 0) {
      add(FindingKind::too_few, 0, 0.0, 0, "no point is left");
      return;
    }
    if (n < 5) add(FindingKind::too_few, line(0), points_.f[0], n, fmt::format("{}: too few for a fit", points(n)));
    auto& use = result_.usable_for;
    if (sweep_.magnitude_only) {
      use.emplace_back("SWR");
    } else {
      std::size_t high = 0;
      for (const cdouble& s : points_.s)
        if (std::abs(s) > high_reflection) ++high;
      if (high < n) use.emplace_back("resistance");
      use.emplace_back(found(FindingKind::folded_reactance) ? "reactance but for its sign" : "reactance");
      use.emplace_back("SWR");
      if (sweep_.ports > 2) use.emplace_back(fmt::format("{}-port", sweep_.ports));
      if (sweep_.ports == 2) use.emplace_back(found(FindingKind::one_path) ? "transmission one way" : "two-port");
    }
    result_.usable = true;
  }

  const Sweep& sweep_;
  const JudgeOptions& options_;
  Judgement result_;
  Points points_;
};

}  // namespace

network::ScatteringMatrix scattering(const Sweep& sweep, std::size_t point) {
  require(sweep.ports == 2, "a two-port is needed");
  const auto m = sweep.at(point);
  const cdouble r1 = sweep.reference_ohm[0], r2 = sweep.reference_ohm[1];
  constexpr auto power = network::WaveDefinition::power;
  switch (sweep.kind) {
  case load::TouchstoneKind::s:
    return {m[0], m[1], m[2], m[3], power, r1, r2};
  case load::TouchstoneKind::z:
    return network::to_scattering(network::ImpedanceMatrix{m[0], m[1], m[2], m[3]}, power, r1, r2);
  case load::TouchstoneKind::y:
    return network::to_scattering(network::AdmittanceMatrix{m[0], m[1], m[2], m[3]}, power, r1, r2);
  case load::TouchstoneKind::h: {  // V1 = h11 I1 + h12 V2, I2 = h21 I1 + h22 V2
    require(m[0] != 0.0, "h11 = 0 has no admittances");
    return network::to_scattering(
        network::AdmittanceMatrix{1.0 / m[0], -m[1] / m[0], m[2] / m[0], m[3] - m[1] * m[2] / m[0]}, power, r1, r2);
  }
  case load::TouchstoneKind::g:
    break;
  }
  require(m[0] != 0.0, "g11 = 0 has no impedances");
  return network::to_scattering(
      network::ImpedanceMatrix{1.0 / m[0], -m[1] / m[0], m[2] / m[0], m[3] - m[1] * m[2] / m[0]}, power, r1, r2);
}

std::vector<cdouble> scattering_of(const Sweep& sweep, std::size_t point) {
  const auto m = sweep.at(point);
  if (sweep.kind == load::TouchstoneKind::s) return {m.begin(), m.end()};
  if (sweep.ports == 1) return {reflection_at(sweep, point)};
  if (sweep.ports == 2) {
    const network::ScatteringMatrix s = scattering(sweep, point);
    return {s.s11, s.s12, s.s21, s.s22};
  }
  // S = F (Z - R)(Z + R)^-1 F^-1 with F = 1/sqrt(R), real R; of Y the same with Z = 1/Y.
  using Matrix = Eigen::Matrix<cdouble, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const auto n = static_cast<Eigen::Index>(sweep.ports);
  Matrix given = Eigen::Map<const Matrix>(m.data(), n, n), root = Matrix::Zero(n, n);
  for (Eigen::Index k = 0; k < n; ++k) root(k, k) = std::sqrt(sweep.reference_ohm[static_cast<std::size_t>(k)]);
  const Matrix one = Matrix::Identity(n, n), inverse = root.inverse();
  const bool impedance = sweep.kind == load::TouchstoneKind::z;
  const Matrix normal = impedance ? Matrix(inverse * given * inverse) : Matrix(root * given * root);
  const Eigen::FullPivLU<Matrix> under(normal + one);
  require(under.isInvertible(), "the matrix has no scattering parameters");
  const Matrix s = (impedance ? Matrix(normal - one) : Matrix(one - normal)) * under.inverse();
  return {s.data(), s.data() + s.size()};
}

cdouble reflection_at(const Sweep& sweep, std::size_t point) {
  const cdouble m = sweep.at(point)[0];
  const double r = sweep.reference_ohm.front();
  if (sweep.kind == load::TouchstoneKind::s) return m;
  if (sweep.ports == 1) {
    const cdouble z = m;
    if (sweep.kind == load::TouchstoneKind::y) return (1.0 - r * m) / (1.0 + r * m);
    require(z != -r, "Z = -R has no reflection coefficient");
    return (z - r) / (z + r);
  }
  return scattering_of(sweep, point).front();
}

Judgement judge(const Sweep& sweep, const JudgeOptions& options) { return Judge(sweep, options).run(); }

OnePort one_port(const Sweep& sweep, const JudgeOptions& options, const Judgement& judgement) {
  check(options);
  if (sweep.magnitude_only)
    throw Error(sweep.file + ": SWR or |S11| alone has no impedance; what needs R and X cannot be done with it");
  if (!judgement.usable) throw Error(sweep.file + ": nothing of it can be used; judge it to see why");
  OnePort result;
  result.name = sweep.file;
  result.reference_ohm = sweep.reference_ohm.front();
  result.caveats = judgement.findings;
  const double r0 = result.reference_ohm;
  const double scale = options.above_one == AboveOne::scale ? 1.0 / (1.0 + options.reference_error) : 1.0;
  const double error = std::max(options.instrument_error, judgement.random_error.value_or(0.0));
  const bool known = options.instrument_error > 0.0 || judgement.random_error;
  auto cut = judgement.cut_points;
  std::sort(cut.begin(), cut.end());
  for (std::size_t i = 0; i < sweep.frequency_hz.size(); ++i) {
    const double f = sweep.frequency_hz[i];
    if ((options.band_low_hz && f < *options.band_low_hz) || (options.band_high_hz && f > *options.band_high_hz))
      continue;
    if (std::binary_search(cut.begin(), cut.end(), i)) continue;
    cdouble z = sweep.at(i)[0];
    if (sweep.kind != load::TouchstoneKind::z || sweep.ports != 1 || scale != 1.0) {
      const cdouble s = reflection_at(sweep, i) * scale;
      // 1 - |S|^2 keeps its digits as a product; the real part is below 0 only where |S| is above 1.
      const double distance = s == 1.0 ? 4e-24 : std::norm(1.0 - s), magnitude = std::abs(s);
      z = s == 1.0 ? cdouble(1e12 * r0, 0.0)
                   : cdouble{r0 * (1.0 - magnitude) * (1.0 + magnitude) / distance, r0 * 2.0 * s.imag() / distance};
    }
    if (!std::isfinite(z.real()) || !std::isfinite(z.imag())) continue;
    if (z.real() < 0.0 && z.real() > -1e-9 * std::abs(z + r0)) z = {0.0, z.imag()};  // rounding of total reflection
    result.frequency_hz.push_back(f);
    result.z_ohm.push_back(z);
    const double per_reflection = std::norm(z + r0) / (2.0 * r0);
    double rounded = rounding_at(sweep, i) / std::sqrt(3.0);
    if (sweep.kind == load::TouchstoneKind::s) {
      rounded *= per_reflection;
    } else if (sweep.ports != 1) {
      rounded = 0.0;
    } else if (sweep.kind == load::TouchstoneKind::y) {
      rounded *= std::norm(z);
    }
    const double total =
        known || rounded > 0.0 ? std::max(per_reflection * error, rounded) : std::numeric_limits<double>::quiet_NaN();
    result.uncertainty_ohm.push_back(total);
    result.noise_ohm.push_back(judgement.random_error ? std::max(per_reflection * *judgement.random_error, rounded)
                                                      : total);
    result.marked.push_back(z.real() < 0.0);
    if (options.instrument_error > 0.0) {
      // S + E, S + E S, S + E S^2; dZ/dS = (Z + R0)^2 / (2 R0)
      const cdouble s = (z - r0) / (z + r0);
      cdouble moved = options.instrument_error * (z + r0) * (z + r0) / (2.0 * r0);
      if (result.common_ohm.empty())
        for (const char* of : {"directivity", "tracking", "match"})
          for (const char* phase : {"in phase", "in quadrature"})
            result.common_ohm.push_back({fmt::format("instrument: {}, {}", of, phase), {}});
      for (std::size_t error_of = 0; error_of < 6; error_of += 2, moved *= s) {
        result.common_ohm[error_of].ohm.push_back(moved);
        result.common_ohm[error_of + 1].ohm.push_back(cdouble(0.0, 1.0) * moved);
      }
    }
  }
  if (result.frequency_hz.empty()) throw Error(sweep.file + ": no point is left");
  return result;
}

load::Load to_load(const OnePort& sweep, double widest_gap_ratio) {
  std::vector<double> frequency_hz;
  std::vector<cdouble> z_ohm;
  for (std::size_t i = 0; i < sweep.z_ohm.size(); ++i) {
    if (sweep.z_ohm[i].real() < 0.0) continue;
    frequency_hz.push_back(sweep.frequency_hz[i]);
    z_ohm.push_back(sweep.z_ohm[i]);
  }
  require(!z_ohm.empty(), "every point has a negative resistance: no load is left");
  const std::size_t left_out = sweep.z_ohm.size() - z_ohm.size();
  load::Load load{sweep.name,
                  sweep.name,
                  load::make_sampled_load(std::move(frequency_hz), std::move(z_ohm), {}, widest_gap_ratio),
                  {}};
  if (left_out > 0) load.reading_warnings.push_back(sweep.name + ": " + points(left_out) + " with |S11| > 1 left out");
  for (const Finding& f : sweep.caveats) {
    const std::string place = to_string(Where{sweep.name, f.line, 0});
    load.reading_warnings.push_back(place + ": " + std::string(finding_name(f.kind)) + ": " + f.text);
  }
  return load;
}

}  // namespace stile::sweep
