#include <stile/conductor/wire_gauge.hpp>

#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::conductor {

namespace {

// SWG 7/0 to 50 in units of 0.0001 inch; SWG n stands at n + 6, SWG n/0 at 7 - n.
constexpr std::array<int, 57> swg_tenth_mil{
    5000, 4640, 4320, 4000, 3720, 3480, 3240, 3000, 2760, 2520, 2320, 2120, 1920, 1760, 1600, 1440, 1280, 1160, 1040,
    920,  800,  720,  640,  560,  480,  400,  360,  320,  280,  240,  220,  200,  180,  164,  148,  136,  124,  116,
    108,  100,  92,   84,   76,   68,   60,   52,   48,   44,   40,   36,   32,   28,   24,   20,   16,   12,   10};

// Gauge number: 24 -> 24, 0 and 1/0 -> 0, 00 and 2/0 -> -1, and so on.
std::optional<int> gauge_number(std::string_view text) {
  if (text.empty()) return std::nullopt;
  if (text.find_first_not_of('0') == std::string_view::npos) return 1 - static_cast<int>(text.size());
  const bool noughts = text.size() > 2 && text.substr(text.size() - 2) == "/0";
  if (noughts) text.remove_suffix(2);
  int n = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), n);
  if (error != std::errc{} || end != text.data() + text.size() || n < 1 || text.front() == '0') return std::nullopt;
  return noughts ? 1 - n : n;
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

}  // namespace

double wire_diameter_m(std::string_view gauge) {
  const std::string_view text = trimmed(gauge), system = text.substr(0, 3);
  if (system == "AWG" || system == "SWG") {
    const std::optional<int> n = gauge_number(trimmed(text.substr(3)));
    if (n && system == "AWG" && *n >= -3 && *n <= 56) {
      return 0.005 * metre_per_inch * std::pow(92.0, (36.0 - *n) / 39.0);
    }
    if (n && system == "SWG" && *n >= -6 && *n <= 50) {
      const int place = *n + 6;
      return swg_tenth_mil[static_cast<std::size_t>(place)] * 1e-4 * metre_per_inch;
    }
  }
  throw DomainError("no wire gauge is named \"" + std::string(gauge) + "\"; legal are AWG 4/0 to 56 and SWG 7/0 to 50");
}

}  // namespace stile::conductor
