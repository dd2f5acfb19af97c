#include <stile/base/detail/decimal.hpp>

#include <charconv>
#include <cmath>
#include <cstdlib>
#include <string>
#include <system_error>

namespace stile::detail {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_sign(char c) { return c == '+' || c == '-'; }

/// from_chars takes no plus sign.
std::string_view without_plus(std::string_view number) { return number.substr(number.front() == '+' ? 1 : 0); }

}  // namespace

std::size_t decimal_end(std::string_view text, std::size_t at, bool sign) {
  std::size_t i = at;
  if (sign && i < text.size() && is_sign(text[i])) ++i;
  std::size_t digits = 0;
  for (; i < text.size() && is_digit(text[i]); ++i) ++digits;
  if (i < text.size() && text[i] == '.') {
    ++i;
    for (; i < text.size() && is_digit(text[i]); ++i) ++digits;
  }
  if (digits == 0) return at;
  if (i < text.size() && (text[i] == 'e' || text[i] == 'E')) {
    std::size_t e = i + 1;
    if (e < text.size() && is_sign(text[e])) ++e;
    if (e < text.size() && is_digit(text[e])) {
      while (e < text.size() && is_digit(text[e])) ++e;
      i = e;
    }
  }
  return i;
}

template <class Real>
std::optional<Real> decimal_value(std::string_view number, int exponent) {
  number = without_plus(number);
  if (exponent == 0) {
    Real plain = 0;
    const auto whole = std::from_chars(number.data(), number.data() + number.size(), plain);
    if (whole.ec == std::errc()) return std::isfinite(plain) ? std::optional(plain) : std::nullopt;
  }
  const std::size_t e = number.find_first_of("eE");
  if (e != std::string_view::npos) {
    const std::string_view power = without_plus(number.substr(e + 1));
    int own = 0;
    const auto read = std::from_chars(power.data(), power.data() + power.size(), own);
    if (read.ec != std::errc() || std::abs(own) > 1000000) return {};
    exponent += own;
  }
  const std::string text = std::string(number.substr(0, e)) + "e" + std::to_string(exponent);
  Real value = 0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
  if (read.ec != std::errc() || !std::isfinite(value)) return {};
  return value;
}

template std::optional<double> decimal_value(std::string_view, int);
template std::optional<long double> decimal_value(std::string_view, int);

}  // namespace stile::detail
