#pragma once
// Wind on pole, whip and wire, beside what a walking person can hold.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/wire/wire_case.hpp>

namespace stile::safety {

/// A force of the Beaufort scale, mean wind at 10 m; gusts are 1.4 to 1.6 times the mean (common practice).
struct Beaufort {
  int number = 0;
  std::string name;
  double low_m_s = 0.0;
  double high_m_s = 0.0;  ///< 12: of its lower edge, it has no upper one
};

/// 0..12. Source: WMO Beaufort scale, WMO-No. 8 (names read second-hand, m/s from memory, checked by v = 0.836 B^1.5).
const std::vector<Beaufort>& beaufort_scale();

/// A tapering upright.
struct Pole {
  double length_m = 0.0;
  double base_diameter_m = 0.0, tip_diameter_m = 0.0;
};

struct WindLoad {
  double force_n = 0.0;
  double moment_nm = 0.0;  ///< about the pole's foot
};

/// Cd = 1.2 of a circular cylinder at Reynolds numbers below 2e5. Source: EN 1991-1-4 fig. 7.28, ISO 4354 (from
/// memory).
inline constexpr double drag = 1.2;
inline constexpr double air_density_kg_m3 = 1.225;

/// F = Cd q h (D0 + D1)/2, M = Cd q (D0 h^2/2 - (D0 - D1) h^2/3), q = rho v^2/2; no gusts, no sag.
/// @throws DomainError  a length or diameter not above 0 (the tip's: below 0), speed below 0
WindLoad wind_on_pole(const Pole& pole, double speed_m_s);

/// The wires of an antenna off the ground: each straight piece as a cylinder across the wind. The moment of the fed
/// wire and of wires that start on it above the feed (a hat) is about the feed; of other wires half the force stands at
/// the feed, the other half on the ground or its far end. A coil of known outside is a cylinder of that; of another
/// nothing but its wire is in it.
WindLoad wind_on_wires(const wire::WireCase& wires, double speed_m_s);

/// Who stands in the wind.
struct Stand {
  double person_kg = 75.0;
  double pack_kg = 8.0;        ///< with its counterweight
  double half_width_m = 0.15;  ///< from the middle between the feet to the edge over which he would tip; assumed
  double gust = 1.5;           ///< of the mean speed
};

struct WindRow {
  Beaufort force;
  double speed_m_s = 0.0;         ///< upper edge, mean
  double force_n = 0.0;           ///< of everything, without gusts
  double pack_moment_nm = 0.0;    ///< about the feed, at the pack, without gusts
  double foot_moment_nm = 0.0;    ///< about the feet, in gusts
  double counterweight_kg = 0.0;  ///< mass at 0.3 m on the other side that holds pack_moment_nm
};

struct WindTable {
  std::string condition;      ///< of the wires
  std::vector<WindRow> rows;  ///< 1..12
  double held_nm = 0.0;       ///< that person's and pack's weight at half the width of the stand
  int take_down = 0;  ///< first Beaufort number whose moment at the feet is above half of it; 5 at most for a pole of 5
                      ///< m and more (common practice), 7 at most for anything
  std::vector<std::string> left_out{};  ///< what pulls and is not in it
};

/// @throws DomainError  a value of the stand not above 0
WindTable wind_table(const wire::WireCase& wires, const std::optional<Pole>& pole, const Stand& stand);

/// Of an antenna's conditions the one with the largest moment at the feet: at every force of the wind the same one.
/// @throws DomainError  no wires; a value of the stand not above 0
WindTable worst_wind(std::span<const wire::WireCase> conditions, const std::optional<Pole>& pole, const Stand& stand);

/// One of several antennas in the wind.
struct AntennaWind {
  std::string antenna;  ///< empty: the only one
  std::optional<Pole> pole;
  WindTable table;  ///< of the condition with the largest moment
};

/// In one line: "at Beaufort 4 and 6, without gusts, 14.3 and 43.7 N m at the pack, held by a counterweight of 4.86
/// and 14.8 kg at 0.3 m; take it down from Beaufort 5 on".
std::string wind_words(const WindTable& table);
/// The same, of a named antenna with its name before it.
std::string wind_words(const AntennaWind& wind);

}  // namespace stile::safety
