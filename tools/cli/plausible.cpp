#include "cli/plausible.hpp"

#include <complex>

#include <fmt/core.h>

#include "cli/part.hpp"

namespace stile::tools {

void require_plausible(double value, std::string_view text, const station::Plausible& range, const Where& where) {
  if (station::within(value, range)) return;
  throw ParseError(where, fmt::format("\"{}\" is not plausible for {}; legal: {}", text, range.what,
                                      station::legal_instead(value, range)));
}

double read_plausible(std::string_view text, const station::Plausible& range, const Where& where) {
  const double value = read_sized(text, range.unit, where);
  require_plausible(value, text, range, where);
  return value;
}

cdouble read_plausible_impedance(std::string_view text, const station::Plausible& range, const Where& where) {
  const cdouble z = read_sized_impedance(text, where);
  if (z.real() <= 0.0) throw ParseError(where, fmt::format("\"{}\": its real part must be > 0", text));
  require_plausible(std::abs(z), text, range, where);
  return z;
}

Range read_plausible_limits(std::string_view text, const station::Plausible& range, const std::string& option) {
  const Range limits = read_limits(text, range.unit, option);
  const std::size_t colon = text.find(':');
  require_plausible(limits.low, text.substr(0, colon), range, {option, 0, 1});
  require_plausible(limits.high, text.substr(colon + 1), range, {option, 0, colon + 2});
  return limits;
}

std::optional<double> find_plausible(const Arguments& arguments, const std::string& option,
                                     const station::Plausible& range) {
  const std::optional<std::string> given = arguments.text(option);
  return given ? std::optional(read_plausible(*given, range, {option, 0, 1})) : std::nullopt;
}

double plausible_or(const Arguments& arguments, const std::string& option, const station::Plausible& range,
                    double otherwise) {
  return find_plausible(arguments, option, range).value_or(otherwise);
}

}  // namespace stile::tools
