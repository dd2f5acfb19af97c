#include <stile/sweep/detail/points.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>

namespace stile::sweep::detail {

std::vector<std::vector<cdouble>> reflection_errors(const OnePort& sweep, double r0) {
  std::vector<std::vector<cdouble>> errors;
  for (const CommonError& common : sweep.common_ohm) {
    std::vector<cdouble>& error = errors.emplace_back(common.ohm);
    for (std::size_t i = 0; i < error.size(); ++i) error[i] *= reflection_per_ohm(sweep.z_ohm[i], r0);
  }
  return errors;
}

std::vector<double> unwrapped_angle(const std::vector<cdouble>& values) {
  std::vector<double> angle;
  angle.reserve(values.size());
  for (const cdouble& value : values)
    angle.push_back(angle.empty() ? std::arg(value)
                                  : angle.back() + std::remainder(std::arg(value) - angle.back(), two_pi));
  return angle;
}

std::pair<std::size_t, double> place_of(const std::vector<double>& frequency_hz, double f, const std::string& name) {
  const double slack = 1e-9 * f;
  if (frequency_hz.empty() || f < frequency_hz.front() - slack || f > frequency_hz.back() + slack)
    throw DomainError(fmt::format(
        "\"{}\" has no data at {}{}", name, print_quantity(f, Unit::hertz, 7),
        frequency_hz.empty() ? std::string()
                             : fmt::format("; data: {} to {}", print_quantity(frequency_hz.front(), Unit::hertz, 7),
                                           print_quantity(frequency_hz.back(), Unit::hertz, 7))));
  const auto above = std::lower_bound(frequency_hz.begin(), frequency_hz.end(), f);
  if (above == frequency_hz.begin() || frequency_hz.size() == 1) return {0, 0.0};
  if (above == frequency_hz.end()) return {frequency_hz.size() - 2, 1.0};
  const auto i = static_cast<std::size_t>(above - frequency_hz.begin()) - 1;
  return {i, (f - frequency_hz[i]) / (frequency_hz[i + 1] - frequency_hz[i])};
}

}  // namespace stile::sweep::detail
