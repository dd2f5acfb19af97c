#include <stile/coil/closed_forms.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/detail/elliptic.hpp>
#include <stile/conductor/skin.hpp>

namespace stile::coil {

namespace {

/// ln n - ln(geometric mean distance of two strips of width 1 whose middles are n apart): Rosa's term of turns n apart.
double strip_excess(int n) {
  const double x = n;
  if (n > 8) {  // series of the expression below: no cancellation
    const double y = 1.0 / (x * x);
    double sum = 0.0, power = y;
    for (int k = 1; k <= 10; ++k, power *= y) sum += power / (2.0 * k * (k + 1.0) * (2.0 * k + 1.0));
    return sum;
  }
  const double below = n == 1 ? 0.0 : 0.5 * (x - 1.0) * (x - 1.0) * std::log(x - 1.0);
  return std::log(x) - (0.5 * (x + 1.0) * (x + 1.0) * std::log(x + 1.0) + below - x * x * std::log(x) - 1.5);
}

double rosa_b_whole(int turns) {
  double sum = 0.0;
  for (int n = 1; n < turns; ++n) sum += (turns - n) * strip_excess(n);
  return 2.0 * sum / turns;
}

void check_coil(double turns, double diameter_m, double pitch_m, double wire_diameter_m) {
  require(turns > 0.0 && std::isfinite(turns), "the number of turns must be > 0 and finite");
  require(diameter_m > 0.0 && std::isfinite(diameter_m), "a coil's diameter must be > 0 and finite");
  require(pitch_m > 0.0 && std::isfinite(pitch_m), "a pitch must be > 0 and finite");
  require(wire_diameter_m > 0.0 && wire_diameter_m < pitch_m, "the wire must be > 0 and thinner than the pitch");
}

struct TablePoint {
  double length_over_diameter, pf_per_cm;
};

// Medhurst's H as quoted in two postings that cite the paper.
constexpr std::array<TablePoint, 33> medhurst{{
    {0.1, 0.96},  {0.15, 0.79}, {0.2, 0.7},  {0.25, 0.64}, {0.3, 0.6},  {0.35, 0.57}, {0.4, 0.54},
    {0.45, 0.52}, {0.5, 0.5},   {0.6, 0.48}, {0.7, 0.47},  {0.8, 0.46}, {0.9, 0.46},  {1.0, 0.46},
    {1.5, 0.47},  {2.0, 0.5},   {2.5, 0.56}, {3.0, 0.61},  {3.5, 0.67}, {4.0, 0.72},  {4.5, 0.77},
    {5.0, 0.81},  {6.0, 0.92},  {7.0, 1.01}, {8.0, 1.12},  {9.0, 1.22}, {10.0, 1.32}, {15.0, 1.86},
    {20.0, 2.36}, {25.0, 2.9},  {30.0, 3.4}, {40.0, 4.6},  {50.0, 5.8},
}};

}  // namespace

double nagaoka_coefficient(double diameter_over_length) {
  require(diameter_over_length >= 0.0 && std::isfinite(diameter_over_length),
          "diameter over length must be >= 0 and finite");
  const double t2 = diameter_over_length * diameter_over_length, k2 = t2 / (1.0 + t2), kc2 = 1.0 / (1.0 + t2);
  if (k2 == 0.0) return 1.0;
  const double k = std::sqrt(k2), kc = std::sqrt(kc2);
  const detail::Elliptic e = detail::elliptic(k2, kc2);
  const double first_less_second = e.k_first * (0.5 * k2 + e.sum);  // K - E
  double second_less_k = e.k_first - first_less_second - k;         // E - k
  if (kc2 < 0.5) {
    // Legendre's relation gives E - 1 without cancellation for a short coil: (pi/2 - K' + K (K' - E'))/K'.
    const detail::Elliptic c = detail::elliptic(kc2, k2);
    const double above_one =
        (-0.5 * pi * c.below_one / c.mean + e.k_first * c.k_first * (0.5 * kc2 + c.sum)) / c.k_first;
    second_less_k = above_one + kc2 / (1.0 + k);  // 1 - k
  }
  return 4.0 / (3.0 * pi * kc) * (kc2 / k2 * first_less_second + second_less_k);
}

double current_sheet_inductance_h(double turns, double diameter_m, double length_m) {
  require(turns > 0.0 && std::isfinite(turns), "the number of turns must be > 0 and finite");
  require(diameter_m > 0.0 && std::isfinite(diameter_m), "a coil's diameter must be > 0 and finite");
  require(length_m > 0.0 && std::isfinite(length_m), "a coil's length must be > 0 and finite");
  const double area = 0.25 * pi * diameter_m * diameter_m;
  return mu0_h_m * turns * turns * area / length_m * nagaoka_coefficient(diameter_m / length_m);
}

double rosa_b(double turns) {
  require(turns >= 1.0 && turns <= 10000.0, "Rosa's correction needs 1 to 10000 turns");
  const int below = static_cast<int>(turns);
  const double share = turns - below, low = rosa_b_whole(below);
  return share == 0.0 ? low : low + share * (rosa_b_whole(below + 1) - low);
}

double rosa_inductance_h(double turns, double diameter_m, double pitch_m, double wire_diameter_m,
                         bool surface_current) {
  check_coil(turns, diameter_m, pitch_m, wire_diameter_m);
  const double a = 1.25 + std::log(0.5 * wire_diameter_m / pitch_m) + (surface_current ? 0.25 : 0.0);
  return current_sheet_inductance_h(turns, diameter_m, turns * pitch_m) -
         0.5 * mu0_h_m * turns * diameter_m * (a + rosa_b(turns));
}

double helix_inductance_h(double turns, double diameter_m, double pitch_m, double wire_diameter_m) {
  check_coil(turns, diameter_m, pitch_m, wire_diameter_m);
  const double a = 0.5 * diameter_m, rise = pitch_m / two_pi, gmd = 0.5 * wire_diameter_m * std::exp(-0.25);
  const double angle = two_pi * turns, slope2 = a * a + rise * rise;
  // Neumann's double integral depends on the difference t of the two angles alone. The peak at t = 0 is taken out as
  // the integral of a straight wire, which is known. Different turns are seen from centre to centre: the mean distance
  // of two circles side by side is that of their centres.
  const auto integrand = [&](double t) {
    const double s = 2.0 * a * std::sin(0.5 * t), z = rise * t, own = t < pi ? gmd : 0.0;
    const double helix = (a * a * std::cos(t) + rise * rise) / std::sqrt(s * s + z * z + own * own);
    return (angle - t) * helix - (t < pi ? angle * slope2 / std::sqrt(slope2 * t * t + gmd * gmd) : 0.0);
  };
  double sum = angle * std::sqrt(slope2) * std::asinh(std::sqrt(slope2) * std::min(pi, angle) / gmd);
  for (int half = 0; half * pi < angle; ++half) {
    const double from = half * pi, to = std::min(from + pi, angle);
    sum += boost::math::quadrature::gauss_kronrod<double, 31>::integrate(integrand, from, to, 12, 1e-10);
  }
  return mu0_h_m / two_pi * sum;
}

double sheet_mutual_inductance_h(double turns_1, double gap_turns, double turns_2, double diameter_m, double pitch_m) {
  require(gap_turns >= 0.0 && std::isfinite(gap_turns), "the gap between two sheets must be >= 0");
  const auto sheet = [&](double n) { return n > 0.0 ? current_sheet_inductance_h(n, diameter_m, n * pitch_m) : 0.0; };
  return 0.5 * (sheet(turns_1 + gap_turns + turns_2) + sheet(gap_turns) - sheet(turns_1 + gap_turns) -
                sheet(gap_turns + turns_2));
}

double medhurst_capacitance_f(double diameter_m, double length_over_diameter) {
  require(diameter_m > 0.0 && std::isfinite(diameter_m), "a coil's diameter must be > 0 and finite");
  if (!(length_over_diameter >= medhurst.front().length_over_diameter &&
        length_over_diameter <= medhurst.back().length_over_diameter)) {
    throw DomainError(
        fmt::format("the self-capacitance table covers length over diameter 0.1 to 50, not {}", length_over_diameter));
  }
  const auto above = std::find_if(medhurst.begin() + 1, medhurst.end(),
                                  [&](const TablePoint& p) { return p.length_over_diameter >= length_over_diameter; });
  const auto below = above - 1;
  const double share = (length_over_diameter - below->length_over_diameter) /
                       (above->length_over_diameter - below->length_over_diameter);
  const double pf_per_cm = below->pf_per_cm + share * (above->pf_per_cm - below->pf_per_cm);
  return pf_per_cm * 1e-10 * diameter_m;  // pF/cm = 1e-12 F / 1e-2 m
}

double offcentre_loading_reactance_ohm(double frequency_hz, double half_length_m, double coil_position_m,
                                       double diameter_m) {
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "a frequency must be > 0 and finite");
  require(diameter_m > 0.0 && std::isfinite(diameter_m), "a wire's diameter must be > 0");
  const double megahertz = frequency_hz * 1e-6, quarter_ft = 234.0 / megahertz, inches = diameter_m / metre_per_inch;
  const double half_ft = half_length_m / metre_per_foot, at_ft = coil_position_m / metre_per_foot;
  if (!(half_ft > 0.0 && half_ft < quarter_ft)) {
    throw DomainError(fmt::format("a half of {} m needs no loading coil: legal is above 0 to below {:.4g} m",
                                  half_length_m, quarter_ft * metre_per_foot));
  }
  require(coil_position_m >= 0.0 && at_ft < half_ft && 24.0 * (half_ft - at_ft) > 3.0 * inches,
          "a loading coil must stand between the feed and the end of the wire");
  // Reactance of what lies outside the coil, once for the full quarter wave and once for the wire as it is.
  const auto outside = [&](double end_ft) {
    const double length_ft = end_ft - at_ft, share = length_ft / quarter_ft;
    return (std::log(24.0 * length_ft / inches) - 1.0) * (share * share - 1.0) / length_ft;
  };
  return 1e6 / (34.0 * pi * megahertz) * (outside(quarter_ft) - outside(half_ft));
}

double row_loss_factor(int wires) {
  require(wires >= 1, "a row needs at least one wire");
  double mean = 0.0;
  for (int i = 0; i < wires; ++i) {
    double field = 0.0;
    for (int j = 0; j < wires; ++j) {
      if (j != i) field += 1.0 / (i - j);
    }
    mean += field * field / wires;
  }
  return mean;
}

double butterworth_resistance_ratio(int turns, double wire_over_pitch, double radius_over_depth) {
  require(wire_over_pitch > 0.0 && wire_over_pitch < 1.0, "wire over pitch must lie between 0 and 1");
  return conductor::skin_impedance_ratio(radius_over_depth).real() +
         row_loss_factor(turns) * wire_over_pitch * wire_over_pitch *
             conductor::cross_field_loss_factor(radius_over_depth);
}

}  // namespace stile::coil
