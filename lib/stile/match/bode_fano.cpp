#include <stile/match/bode_fano.hpp>

#include <cmath>
#include <functional>
#include <string_view>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::match {
namespace {

void check(bool legal, std::string_view what, double value, std::string_view range) {
  if (!legal) throw DomainError(fmt::format("{} must be {}, not {}", what, range, value));
}

double positive(double value, std::string_view what) {
  check(value > 0.0 && std::isfinite(value), what, value, "> 0 and finite");
  return value;
}

BodeFano checked(double bound, bool over_w_squared) {
  return {positive(bound, "the Bode-Fano bound of this load"), over_w_squared};
}

double resistance(double ohm) { return positive(ohm, "resistance_ohm"); }
double capacitance(double farad) { return positive(farad, "capacitance_f"); }
double inductance(double henry) { return positive(henry, "inductance_h"); }

void check_resonators(int resonators) {
  check(resonators >= 1 && resonators <= 100, "resonators", resonators, "1..100");
}

/// The b > 0 that meets tanh(n a)/cosh a = tanh(n b)/cosh b when a is tied to b by the second equation. Either side is
/// one hump: it rises from 0 to a single summit, which lies at sinh b = 1 for n = 1 and lower for n > 1, and falls. a
/// and b are its two feet at one height, so b lies below the summit; at 0 the left side is the larger one, at
/// sinh b = 1 and a > b the right side.
Root find_b(int n, const std::function<double(double)>& a_of_b) {
  const auto hump = [n](double x) { return std::tanh(n * x) / std::cosh(x); };
  return find_root([&](double b) { return hump(a_of_b(b)) - hump(b); }, 0.0, std::asinh(1.0));
}

double log_cosh(double x) { return x + std::log1p(std::exp(-2.0 * x)) - std::log(2.0); }  // x >= 0

}  // namespace

BodeFano parallel_rc_bound(const RcLoad& load) {
  return checked(pi / (resistance(load.resistance_ohm) * capacitance(load.capacitance_f)), false);
}

BodeFano series_rl_bound(const RlLoad& load) {
  return checked(pi * resistance(load.resistance_ohm) / inductance(load.inductance_h), false);
}

BodeFano series_rc_bound(const RcLoad& load) {
  return checked(pi * resistance(load.resistance_ohm) * capacitance(load.capacitance_f), true);
}

BodeFano parallel_rl_bound(const RlLoad& load) {
  return checked(pi * inductance(load.inductance_h) / resistance(load.resistance_ohm), true);
}

double flat_band_reflection(const BodeFano& limit, const Range& band_hz) {
  positive(limit.bound, "bound");
  check(std::isfinite(band_hz.high) && band_hz.high > band_hz.low, "band_hz.high", band_hz.high,
        "finite and above band_hz.low");
  const double width_hz = band_hz.high - band_hz.low;
  if (!limit.over_w_squared) {
    check(band_hz.low >= 0.0, "band_hz.low", band_hz.low, ">= 0");
    return std::exp(-limit.bound / two_pi / width_hz);
  }
  check(band_hz.low > 0.0, "band_hz.low", band_hz.low, "> 0 for this kind of load");
  const double weighted_s = width_hz / band_hz.low / band_hz.high / two_pi;  // 1/w1 - 1/w2 without its cancellation
  return std::exp(-limit.bound / weighted_s);
}

double resonated_reflection(double qb) { return std::exp(-pi / positive(qb, "qb")); }

double qb_limit(double reflection) {
  check(reflection > 0.0 && reflection < 1.0, "reflection", reflection, "above 0 and below 1");
  return -pi / std::log(reflection);
}

EqualRipple equal_ripple(int resonators, double qb) {
  check_resonators(resonators);
  check(qb >= 0.01 && qb <= 1000.0, "qb", qb, "0.01..1000");
  const int n = resonators;
  const double step = 2.0 * std::sin(pi / (2.0 * n)) / qb;
  const auto a_of_b = [step](double b) { return std::asinh(std::sinh(b) + step); };
  const Root root = find_b(n, a_of_b);

  EqualRipple match;
  match.status = root.status;
  match.b = root.x;
  match.a = a_of_b(root.x);
  match.reflection = std::exp(log_cosh(n * match.b) - log_cosh(n * match.a));
  return match;
}

double qb_for_reflection(int resonators, double reflection) {
  check_resonators(resonators);
  const int n = resonators;
  const double g = reflection;
  check(g >= 1e-6 && g <= 0.999, "reflection", g, "1e-6..0.999");
  if (n == 1) return 2.0 * g / ((1.0 - g) * (1.0 + g));
  if (n == 2) return 2.0 * std::sqrt(g) / (1.0 - g);
  const auto a_of_b = [n, g](double b) { return std::acosh(std::cosh(n * b) / g) / n; };
  const Root root = find_b(n, a_of_b);
  if (root.status != RootStatus::found) throw Error(fmt::format("no Q B found for |G| = {} and {} resonators", g, n));
  return 2.0 * std::sin(pi / (2.0 * n)) / (std::sinh(a_of_b(root.x)) - std::sinh(root.x));
}

double bode_fano_bandwidth_hz(double load_q, double centre_hz, double swr_limit) {
  positive(load_q, "load_q");
  positive(centre_hz, "centre_hz");
  check(swr_limit > 1.0 && std::isfinite(swr_limit), "swr_limit", swr_limit, "> 1 and finite");
  const double qb = pi / std::log1p(2.0 / (swr_limit - 1.0));  // ln(1/|G|) with |G| = (SWR - 1)/(SWR + 1)
  return positive(centre_hz * qb / load_q, "the bandwidth in Hz");
}

}  // namespace stile::match
