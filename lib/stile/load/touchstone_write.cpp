#include <stile/load/touchstone_write.hpp>

#include <array>
#include <charconv>
#include <cmath>

#include <stile/load/detail/touchstone_lines.hpp>

namespace stile::load {
namespace touchstone = detail::touchstone;

namespace {

template <class Real>
std::string shortest(Real value) {
  std::array<char, 64> buffer{};
  const auto result = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  return {buffer.data(), result.ptr};
}

double read_back(const std::string& text, double reference_ohm) {
  return touchstone::scaled_number({text, 1}, static_cast<long double>(reference_ohm), 1, "");
}

/// Shortest text whose value times the reference is `ohm` again; a quotient in double is not always one, then the
/// digits of the extended quotient are.
std::string normalised(double ohm, double reference_ohm) {
  const auto quotient = static_cast<long double>(ohm) / static_cast<long double>(reference_ohm);
  const auto rounded = static_cast<double>(quotient);
  require(std::isfinite(rounded) && (std::isnormal(rounded) || ohm == 0.0),
          "Z divided by the reference is outside the range of a double");
  const std::string text = shortest(rounded);
  return read_back(text, reference_ohm) == ohm ? text : shortest(quotient);
}

}  // namespace

std::string write_touchstone_1port(const std::vector<OnePortPoint>& points, const OnePortFormat& format,
                                   const std::vector<std::string>& comments) {
  const double r = format.reference_ohm;
  require(format.kind == TouchstoneKind::z || format.kind == TouchstoneKind::s, "a one-port is written as Z or S");
  require(std::isfinite(r) && r > 0.0, "the reference must be finite and greater than 0 ohm");
  require(!points.empty(), "a Touchstone file needs at least one point");
  std::string text;
  for (const std::string& comment : comments) {
    for (const char c : comment)
      require(c == '\t' || (c >= ' ' && c <= '~'), "a comment must be one line of printable ASCII");
    text += "! " + comment + "\n";
  }
  text += std::string("# Hz ") + (format.kind == TouchstoneKind::z ? "Z" : "S") + " RI R " + shortest(r) + "\n";
  double previous_hz = -1.0;
  for (const OnePortPoint& point : points) {
    require(std::isfinite(point.frequency_hz) && point.frequency_hz >= 0.0 && point.frequency_hz > previous_hz,
            "frequencies must be finite, not negative and strictly increasing");
    require(std::isfinite(point.z_ohm.real()) && std::isfinite(point.z_ohm.imag()), "impedances must be finite");
    previous_hz = point.frequency_hz;
    text += shortest(point.frequency_hz);
    if (format.kind == TouchstoneKind::z) {
      text += " " + normalised(point.z_ohm.real(), r) + " " + normalised(point.z_ohm.imag(), r) + "\n";
    } else {
      require(point.z_ohm != -r, "Z = -R has no reflection coefficient");
      const cdouble s = (point.z_ohm - r) / (point.z_ohm + r);
      text += " " + shortest(s.real()) + " " + shortest(s.imag()) + "\n";
    }
  }
  return text;
}

}  // namespace stile::load
