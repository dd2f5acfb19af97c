#include <stile/energy/battery.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <fmt/format.h>

#include <stile/base/errors.hpp>

namespace stile::energy {
namespace {

constexpr std::string_view general = "general reference, second-hand";
constexpr std::array facts{
    ChemistryFacts{Chemistry::lead_acid_agm,
                   "sealed lead-acid",
                   {1.05, 1.15},
                   20.0,
                   {20.0, 40.0},
                   12.0,
                   {10.5, 10.8},
                   12.0,
                   general,
                   "typical data sheets, from memory"},
    ChemistryFacts{Chemistry::lead_acid_gel,
                   "gel lead-acid",
                   {1.10, 1.25},
                   20.0,
                   {20.0, 40.0},
                   12.0,
                   {10.5, 10.8},
                   12.0,
                   "general reference and 6 printed batteries (1.10 to 1.14), second-hand",
                   "typical data sheets, from memory"},
    ChemistryFacts{Chemistry::lead_acid_flooded,
                   "flooded lead-acid",
                   {1.14, 1.6},
                   20.0,
                   {20.0, 40.0},
                   12.0,
                   {10.5, 10.8},
                   12.0,
                   "general reference (1.2 to 1.6) and 11 printed batteries (1.14 to 1.29), second-hand",
                   "typical data sheets, from memory"},
    ChemistryFacts{Chemistry::lithium_iron_phosphate,
                   "lithium iron phosphate",
                   {1.0, 1.05},
                   1.0,
                   {80.0, 120.0},
                   12.8,
                   {10.0, 10.0},
                   12.8,
                   general,
                   "from memory"},
};

/// A share of the capacity at a temperature or a voltage.
struct SharePoint {
  double at;
  Range share;
};

/// Straight lines between points of rising `at`, and beyond them what the first and last have.
Range share_between(std::span<const SharePoint> points, double at) {
  if (at <= points.front().at) return points.front().share;
  for (std::size_t n = 1; n < points.size(); ++n)
    if (at <= points[n].at) {
      const SharePoint &a = points[n - 1], &b = points[n];
      const double t = (at - a.at) / (b.at - a.at);
      return {std::lerp(a.share.low, b.share.low, t), std::lerp(a.share.high, b.share.high, t)};
    }
  return points.back().share;
}

void require_battery(double capacity_ah, double rate_h, double exponent, double share) {
  if (!(std::isfinite(capacity_ah) && capacity_ah > 0.0))
    throw DomainError(fmt::format("a battery's capacity must be finite and > 0 Ah, not {:.4g}", capacity_ah));
  if (!(std::isfinite(rate_h) && rate_h > 0.0))
    throw DomainError(
        fmt::format("the discharge time of a stated capacity must be finite and > 0 h, not {:.4g}", rate_h));
  if (!(std::isfinite(exponent) && exponent >= 1.0))
    throw DomainError(fmt::format("a Peukert exponent must be finite and >= 1, not {:.4g}", exponent));
  if (!(share > 0.0 && share <= 1.0))
    throw DomainError(fmt::format("the share of the capacity must be > 0 and <= 1, not {:.4g}", share));
}

void require_draws(std::span<const Draw> draws) {
  double sum = 0.0;
  for (const Draw& draw : draws) {
    if (!(std::isfinite(draw.current_a) && draw.current_a >= 0.0))
      throw DomainError(fmt::format("a current must be finite and >= 0 A, not {:.4g}", draw.current_a));
    if (!(draw.share >= 0.0 && draw.share <= 1.0))
      throw DomainError(fmt::format("a share of the time must be 0 to 1, not {:.4g}", draw.share));
    sum += draw.share;
  }
  if (!(std::abs(sum - 1.0) <= 1e-9))
    throw DomainError(fmt::format("the shares of the time must sum to 1, not {:.6g}", sum));
}

}  // namespace

std::span<const ChemistryFacts> chemistries() { return facts; }

const ChemistryFacts& describe_chemistry(Chemistry chemistry) {
  return *std::find_if(facts.begin(), facts.end(), [&](const ChemistryFacts& f) { return f.chemistry == chemistry; });
}

Range capacity_share(Chemistry chemistry, double temperature_c) {
  if (!(temperature_c >= -20.0 && temperature_c <= 50.0))
    throw DomainError(fmt::format("a battery's temperature must be -20 to 50 degrees C, not {:.4g}", temperature_c));
  const bool lead = chemistry != Chemistry::lithium_iron_phosphate;
  const std::array points{lead ? SharePoint{-15.0, {0.6, 0.7}} : SharePoint{-20.0, {0.5, 0.7}},
                          lead ? SharePoint{0.0, {0.80, 0.87}} : SharePoint{0.0, {0.8, 0.9}},
                          SharePoint{25.0, {1.0, 1.0}}};
  return share_between(points, temperature_c);
}

Range share_at_cut_off(Chemistry chemistry, double cut_off_v) {
  const double most_v = describe_chemistry(chemistry).most_cut_off_v;
  if (!(cut_off_v > 0.0 && cut_off_v <= most_v))
    throw DomainError(
        fmt::format("a cut-off must be > 0 and at most {:.3g} V under load, not {:.4g} V", most_v, cut_off_v));
  constexpr std::array lead{SharePoint{10.5, {1.0, 1.0}}, SharePoint{10.8, {0.9, 1.0}}, SharePoint{11.0, {0.8, 0.96}},
                            SharePoint{11.5, {0.5, 0.87}}, SharePoint{12.0, {0.1, 0.6}}};
  constexpr std::array phosphate{SharePoint{10.0, {1.0, 1.0}}, SharePoint{12.0, {0.9, 0.98}},
                                 SharePoint{12.5, {0.7, 0.95}}, SharePoint{12.8, {0.3, 0.9}}};
  return chemistry == Chemistry::lithium_iron_phosphate ? share_between(phosphate, cut_off_v)
                                                        : share_between(lead, cut_off_v);
}

double discharge_time_h(double capacity_ah, double rate_h, double exponent, double share, double current_a) {
  require_battery(capacity_ah, rate_h, exponent, share);
  if (!(std::isfinite(current_a) && current_a > 0.0))
    throw DomainError(fmt::format("a current must be finite and > 0 A, not {:.4g}", current_a));
  return rate_h * std::pow(share * capacity_ah / (current_a * rate_h), exponent);
}

double peukert_exponent(double current_1_a, double time_1_h, double current_2_a, double time_2_h) {
  for (const double value : {current_1_a, time_1_h, current_2_a, time_2_h})
    if (!(std::isfinite(value) && value > 0.0))
      throw DomainError(fmt::format("currents and discharge times must be finite and > 0, not {:.4g}", value));
  if (current_1_a == current_2_a)
    throw DomainError(fmt::format("two discharges at one current, {:.4g} A, have no exponent", current_1_a));
  return std::log(time_1_h / time_2_h) / std::log(current_2_a / current_1_a);
}

double mean_current_a(std::span<const Draw> draws) {
  require_draws(draws);
  double sum = 0.0;
  for (const Draw& draw : draws) sum += draw.current_a * draw.share;
  return sum;
}

Range operating_time_h(const Battery& battery, std::span<const Draw> draws) {
  const double mean = mean_current_a(draws);
  require(mean > 0.0, "a station that draws no current has no operating time");
  const double high = discharge_time_h(battery.capacity_ah, battery.rate_h, battery.peukert_exponent.low,
                                       battery.capacity_share.high, mean);
  const auto used_per_h = [&](double exponent) {  // share of the charge that an hour takes
    double used = 0.0;
    for (const Draw& draw : draws)
      if (draw.current_a > 0.0 && draw.share > 0.0)
        used += draw.share / discharge_time_h(battery.capacity_ah, battery.rate_h, exponent, battery.capacity_share.low,
                                              draw.current_a);
    return used;
  };
  // Below the rated current a greater exponent is the kinder one, above it the harder.
  const double used = std::max(used_per_h(battery.peukert_exponent.low), used_per_h(battery.peukert_exponent.high));
  const double high_2 = discharge_time_h(battery.capacity_ah, battery.rate_h, battery.peukert_exponent.high,
                                         battery.capacity_share.high, mean);
  return {1.0 / used, std::max(high, high_2)};
}

BatteryGain battery_gain(const Battery& battery, const Range& time_h) {
  require_battery(battery.capacity_ah, battery.rate_h, battery.peukert_exponent.low, battery.capacity_share.low);
  if (!(time_h.low > 0.0 && time_h.high >= time_h.low && std::isfinite(time_h.high)))
    throw DomainError(
        fmt::format("an operating time must be finite and > 0 h, not {:.4g} to {:.4g}", time_h.low, time_h.high));
  const Range per_ah{battery.peukert_exponent.low * time_h.low / battery.capacity_ah,
                     battery.peukert_exponent.high * time_h.high / battery.capacity_ah};
  const ChemistryFacts& usual = describe_chemistry(battery.chemistry);
  return {per_ah,
          {per_ah.low * usual.specific_energy_wh_per_kg.low / usual.nominal_v,
           per_ah.high * usual.specific_energy_wh_per_kg.high / usual.nominal_v}};
}

}  // namespace stile::energy
