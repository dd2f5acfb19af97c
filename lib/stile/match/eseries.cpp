#include <stile/match/eseries.hpp>

#include <array>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>

namespace stile::match {
namespace {

constexpr std::array all_series{ESeries::e3,  ESeries::e6,  ESeries::e12, ESeries::e24,
                                ESeries::e48, ESeries::e96, ESeries::e192};

int count(ESeries series) {
  switch (series) {
  case ESeries::e3:
    return 3;
  case ESeries::e6:
    return 6;
  case ESeries::e12:
    return 12;
  case ESeries::e24:
    return 24;
  case ESeries::e48:
    return 48;
  case ESeries::e96:
    return 96;
  case ESeries::e192:
    return 192;
  }
  throw DomainError("not an E series");
}

/// Digits of value k of the decade as a whole number: 10..91 up to E24, 100..988 from E48 on.
int digits(ESeries series, int k) {
  const int n = count(series);
  const bool two = n <= 24;
  const auto rule = static_cast<int>(std::lround((two ? 10.0 : 100.0) * std::pow(10.0, static_cast<double>(k) / n)));
  if (two) {
    const int k24 = k * (24 / n);
    if (k24 >= 10 && k24 <= 16) return rule + 1;  // 2.7 to 4.7
    return k24 == 22 ? rule - 1 : rule;           // 8.2
  }
  return series == ESeries::e192 && k == 185 ? rule + 1 : rule;  // 9.20
}

/// The preferred value at a place counted through all decades; place 0 is 1.
double value_at(ESeries series, int place) {
  const int n = count(series);
  const int k = (place % n + n) % n;
  const int exponent = (place - k) / n - (n <= 24 ? 1 : 2);
  const std::string text = fmt::format("{}e{}", digits(series, k), exponent);
  double value = 0.0;
  std::from_chars(text.data(), text.data() + text.size(), value);  // by text: a product would round twice
  return value;
}

}  // namespace

std::vector<double> e_series_decade(ESeries series) {
  std::vector<double> values;
  values.reserve(static_cast<std::size_t>(count(series)));
  for (int k = 0; k < count(series); ++k) values.push_back(value_at(series, k));
  return values;
}

Neighbours e_series_neighbours(ESeries series, double value) {
  if (!(value >= 1e-300 && value <= 1e300)) {
    throw DomainError(fmt::format("the value of a part must be 1e-300..1e300, not {}", value));
  }
  int place = static_cast<int>(std::floor(count(series) * std::log10(value)));  // off by a place or two: rounding
  while (value_at(series, place) > value) --place;
  while (value_at(series, place + 1) <= value) ++place;
  const double below = value_at(series, place);
  return {below, below == value ? below : value_at(series, place + 1)};
}

double e_series_nearest(ESeries series, double value) {
  const auto [below, above] = e_series_neighbours(series, value);
  return value / below <= above / value ? below : above;
}

ESeries e_series_from_name(std::string_view name) {
  std::string names;
  for (const ESeries series : all_series) {
    if (e_series_name(series) == name) return series;
    names += (names.empty() ? "" : ", ") + e_series_name(series);
  }
  throw DomainError(fmt::format("an E series must be one of {}, not \"{}\"", names, name));
}

std::string e_series_name(ESeries series) { return fmt::format("E{}", count(series)); }

}  // namespace stile::match
