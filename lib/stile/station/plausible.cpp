#include <stile/station/plausible.hpp>

#include <vector>

#include <fmt/core.h>

namespace stile::station {
namespace {

/// The prefixes that may have been forgotten, the unit's usual one first.
std::vector<double> prefixes(Unit unit) {
  if (unit == Unit::hertz) return {1e6, 1e3, 1e9, 1e-3, 1e-6};
  if (unit == Unit::farad) return {1e-12, 1e-9, 1e-6};
  if (unit == Unit::henry) return {1e-6, 1e-9, 1e-3};
  if (unit == Unit::second) return {1e-3, 1e3, 1e-6, 1e6, 1e-9};
  return {1e-3, 1e3, 1e-6, 1e6};
}

/// "; was a unit meant, such as "40 mm"? (a bare number is in m)" when a prefix puts the value into the range.
std::string question(double value, const Plausible& range) {
  if (range.unit == Unit::one) return "";
  if (range.unit == Unit::decibel) return "; was another unit meant?";
  for (const double factor : prefixes(range.unit)) {
    if (value != 0.0 && within(factor * value, range))
      return fmt::format("; was a unit meant, such as \"{}\"? (a bare number is in {})",
                         print_quantity(factor * value, range.unit, 4), unit_name(range.unit));
  }
  return fmt::format("; was another unit meant? (a bare number is in {})", unit_name(range.unit));
}

}  // namespace

bool within(double value, const Plausible& range) {
  return (value >= range.least && value <= range.most) || (range.zero && value == 0.0);
}

std::string legal_instead(double value, const Plausible& range) {
  return fmt::format("{}{} to {}{}", range.zero && range.least > 0.0 ? "0, or " : "",
                     print_quantity(range.least, range.unit, 4), print_quantity(range.most, range.unit, 4),
                     question(value, range));
}

}  // namespace stile::station
