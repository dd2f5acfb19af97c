#include <stile/network/cable.hpp>

#include <array>
#include <cmath>
#include <utility>

#include <stile/base/constants.hpp>
#include <stile/base/detail/ranges.hpp>
#include <stile/base/errors.hpp>

namespace stile::network {

namespace {

constexpr double hz_per_mhz = 1e6;

void require_cable(const Cable& c) {
  require(positive(c.z0_ohm), "a cable's z0 must be finite and above 0");
  require(positive(c.velocity_factor) && c.velocity_factor <= 1.0,
          "a cable's velocity factor must be above 0 and at most 1");
  require(not_negative(c.k1_db_per_m_at_1mhz) && not_negative(c.k2_db_per_m_at_1mhz),
          "a cable's attenuation constants must be finite and >= 0");
}

struct Attenuation {
  double conductor, dielectric;  // dB/m
};

Attenuation attenuation(const Cable& c, double frequency_hz) {
  require_cable(c);
  require(positive(frequency_hz), "a frequency must be finite and above 0");
  const double f_mhz = frequency_hz / hz_per_mhz;
  return {c.k1_db_per_m_at_1mhz * std::sqrt(f_mhz), c.k2_db_per_m_at_1mhz * f_mhz};
}

// Nominal loss in dB per 100 ft at 30 and 150 MHz, as seen in a national society's general-class licence manual,
// corrected Table 6-1 (public errata page).
Cable from_two_points(const char* name, double z0_ohm, double velocity_factor, double loss_30mhz_db,
                      double loss_150mhz_db, const char* impedance_source, const char* velocity_source) {
  constexpr double length_m = 100.0 * metre_per_foot;
  const std::array points{AttenuationPoint{30e6, loss_30mhz_db, length_m},
                          AttenuationPoint{150e6, loss_150mhz_db, length_m}};
  Cable c = cable_from_attenuation(name, z0_ohm, velocity_factor, points);
  c.source = std::string("attenuation: nominal, exact fit through 30 and 150 MHz of a national-society general-class "
                         "licence manual, corrected Table 6-1 (seen, 3 digits); z0: ") +
             impedance_source + "; velocity factor: " + velocity_source;
  return c;
}

std::array<Cable, 6> nominal_cables() {
  constexpr const char* solid =
      "0.66, solid polyethylene, NCVEC Element 4 question pool 2016-2020 E9F04 (seen); that this cable has it: from "
      "memory";
  constexpr const char* foam =
      "0.8, foam polyethylene, Horowitz and Hill, The Art of Electronics, 3rd ed., p.1116-1117 (transcribed); that "
      "this cable has it: from memory";
  constexpr const char* limit_50 =
      "50 +/- 2 ohm, limit of MIL-C-17G quoted in a mailing-list article of 2004 (seen-secondary)";
  return {from_two_points("RG-174", 50.0, 0.66, 4.56, 10.3, "from memory", solid),
          from_two_points("RG-213", 50.0, 0.66, 1.08, 2.53, limit_50, solid),
          from_two_points("RG-58", 50.0, 0.66, 2.47, 5.63, limit_50, solid),
          from_two_points("RG-59", 75.0, 0.66, 1.79, 4.11, "from memory (older makes 73 ohm)", solid),
          from_two_points("RG-8/U", 52.0, 0.66, 1.08, 2.53,
                          "Horowitz and Hill, The Art of Electronics, 3rd ed., App. H p.1116-1117 (transcribed)",
                          solid),
          from_two_points("RG-8X", 50.0, 0.8, 1.96, 4.53, "from memory", foam)};
}

}  // namespace

double attenuation_db_per_m(const Cable& cable, double frequency_hz) {
  const Attenuation a = attenuation(cable, frequency_hz);
  return a.conductor + a.dielectric;
}

Cable cable_from_attenuation(std::string name, double z0_ohm, double velocity_factor,
                             std::span<const AttenuationPoint> points) {
  require(points.size() == 1 || points.size() == 2, "a cable is made from one or two attenuation points");
  for (const AttenuationPoint& p : points) {
    require(positive(p.frequency_hz) && positive(p.loss_db) && positive(p.length_m),
            "frequency, loss and length of an attenuation point must be finite and above 0");
  }
  Cable c{
      std::move(name), z0_ohm, velocity_factor, 0.0, 0.0, "attenuation, z0 and velocity factor as stated by the user"};
  const double x1 = std::sqrt(points[0].frequency_hz / hz_per_mhz), y1 = points[0].loss_db / points[0].length_m / x1;
  c.k1_db_per_m_at_1mhz = y1;
  if (points.size() == 2) {  // loss/sqrt(f) is a straight line over sqrt(f): k1 its start, k2 its slope
    const double x2 = std::sqrt(points[1].frequency_hz / hz_per_mhz), y2 = points[1].loss_db / points[1].length_m / x2;
    require(x1 != x2, "two attenuation points must be at different frequencies");
    c.k2_db_per_m_at_1mhz = (y2 - y1) / (x2 - x1);
    c.k1_db_per_m_at_1mhz = y1 - c.k2_db_per_m_at_1mhz * x1;
    require(c.k2_db_per_m_at_1mhz >= 0.0,
            "the two points rise less than the square root of frequency: dielectric loss would be negative");
    require(c.k1_db_per_m_at_1mhz >= 0.0,
            "the two points rise more than the frequency: conductor loss would be negative");
  }
  require_cable(c);
  return c;
}

LineConstants line_from_cable(const Cable& cable, double frequency_hz) {
  const Attenuation db = attenuation(cable, frequency_hz);
  const double conductor = db.conductor / db_per_neper, dielectric = db.dielectric / db_per_neper;
  const double beta = two_pi * frequency_hz / (cable.velocity_factor * speed_of_light_m_s);
  require(conductor <= 0.25 * beta, "the frequency is too low for the square-root law of the cable's conductor loss");
  const cdouble y_s_m = cdouble{2.0 * dielectric, beta} / cable.z0_ohm;
  const cdouble gamma{conductor + dielectric, beta + conductor};
  return {gamma / y_s_m, gamma};
}

std::span<const Cable> cable_table() {
  static const std::array<Cable, 6> table = nominal_cables();
  return table;
}

const Cable& cable(std::string_view name) {
  std::string names;
  for (const Cable& c : cable_table()) {
    if (c.name == name) return c;
    names += (names.empty() ? "" : ", ") + c.name;
  }
  throw DomainError("no cable is named \"" + std::string(name) + "\"; there are " + names);
}

}  // namespace stile::network
