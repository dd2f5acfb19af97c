#pragma once
// Uncertain inputs: where they may lie, and what a load or a part is there. Internal to the room.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include <stile/station/station.hpp>

namespace stile::plan::detail {

/// Inputs somewhere in their ranges. The members of one that is as stated do nothing.
struct Corner {
  double q = 1.0;                         ///< factor on coil Q
  double ground = 1.0;                    ///< factor on the ground's share of the load resistance
  double lying_ground = 1.0;              ///< the same where a short wire lies
  double contact_ohm = 0.0;               ///< more in series with each coil and each relay
  double lengths = 1.0;                   ///< factor on the frequency at which the load is taken
  std::optional<double> temperature_c{};  ///< of the coils' metal; nothing: that for which their Q is stated
  std::optional<double> hand{};           ///< where in its range a hand's contact is, 0..1; nothing: in the middle
  double whip_q = 1.0;                    ///< factor on the Q of coils in the wires of antennas

  bool operator==(const Corner&) const = default;
};

enum class Input { ground, lengths, temperature, q, contact, hand, whip_q };

/// An input that is uncertain in a station, with values from its least to its most.
struct Levels {
  Input input = Input::ground;
  std::array<double, 3> value{};  ///< least, as stated, most
  double lying_stretch = 1.0;  ///< of the ground: how many times as far above 1 its factor goes where a short wire lies
};

/// Corners in an order of rows and columns: what two arrangements have in common (ground, lengths, weather), and what
/// each has for itself (Q, contacts).
struct CornerGrid {
  std::vector<Levels> common, own;
  std::vector<std::vector<int>> rows, columns;  ///< for each its level, 0..2, of every input of common, own

  Corner at(std::size_t row, std::size_t column) const;
  std::size_t size() const { return rows.size() * columns.size(); }
};

/// An input along its whole range, everything else as stated.
struct Along {
  Input input = Input::ground;
  std::vector<double> value;              ///< rising, its three levels among them
  std::vector<std::optional<int>> level;  ///< of those that are one of Levels::value
  std::vector<Corner> corners;            ///< one a value
  std::vector<char> between;  ///< of a value that was looked at later, where something may flip between others
};

/// Ground, a hand's contact and lengths, as far as they are uncertain: what a verdict may turn on, between its ends
/// too.
std::vector<Along> along_ranges(const station::Station& station);

/// The corner at any value of one of these ranges.
Corner corner_along(const station::Station& station, Input input, double value);

/// All corners, the middles of their sides and the middle: with up to two inputs in common, or of one's own, all levels
/// of each. The first row and column are as stated.
CornerGrid corner_grid(const station::Station& station);

/// Inputs drawn evenly from their ranges, the same ones for the same seed.
std::vector<Corner> drawn_corners(const station::Station& station, std::size_t count, unsigned seed);

/// An antenna at one frequency of a band.
struct LoadPoint {
  double frequency_hz = 0.0;
  cdouble z_ohm;
  std::optional<load::PowerShares> shares;
  std::optional<double> path_gain;
  bool lying = false;                ///< station::short_wire_lies
  std::vector<LoadPoint> ends{};     ///< of a hand whose contact is a range: at its least and its most
  const load::Load* load = nullptr;  ///< of which it is a point, for other lengths; outlives it
};

/// Factor on the ground's loss where a short wire lies, for the one that other loads have: up to 1 the same, above it
/// in proportion, so that both reach the upper end of station::ground_factors together.
double lying_ground(const station::Uncertainty& uncertainty, double ground);

/// The factor on the ground's loss at a point.
double ground_factor(const LoadPoint& point, const Corner& corner);

LoadPoint load_point(const load::Load& load, double frequency_hz);
LoadPoint load_point(const station::AntennaLoad& load, double frequency_hz);

/// The antenna with the hand's contact somewhere in its range; as it is where no contact is a range.
/// Exact for a contact at one place, of which impedance is a quotient of linear functions and power for 1 A one of
/// quadratic ones, through the three that are known: within 1e-9. A resistance that is spread along an arm is nearly
/// that: within 1 % of |Z| and 0.01 of a share of solving it (test_contact.cpp).
LoadPoint at_contact(const LoadPoint& point, double hand);

/// The antenna with whip and wires so many times as long: impedance and shares of its load at a frequency so many times
/// as high. Where the load has no data its nearest data count: the impedance goes on along its slope at their end, and
/// the shares stay. The gain into the path is that of the point, times what becomes of the share that is radiated.
/// @throws DomainError  a point without its load
LoadPoint at_lengths(const LoadPoint& point, double factor);

/// at_lengths and at_contact, as a corner says.
LoadPoint at_corner(const LoadPoint& point, const Corner& corner);

/// The impedance of a point of at_corner with the other inputs off: the ground's part of its resistance times a factor
/// and its coils' part over one (as they are when shares are unknown: currents stay as they are). Within 0.5 % of R of
/// solving it with another Q (test_whip_q.cpp).
cdouble corner_impedance(const LoadPoint& point, const Corner& corner);

/// What becomes of the share that is radiated, and of the gain.
double corner_share(const LoadPoint& point, const Corner& corner);

/// What becomes of all shares; they add up to 1 as before. Nothing where they are not known.
std::optional<load::PowerShares> corner_shares(const LoadPoint& point, const Corner& corner);

/// A coil's loss with inputs off; resistances stated in ohms stay.
/// @param temperature_c, coefficient_per_k  for which the Q is stated; of the metal
network::Loss corner_loss(network::Loss loss, const Corner& corner, double temperature_c = 20.0,
                          double coefficient_per_k = 0.0039);

/// Factor on a coil's Q for its metal's temperature alone: resistance of a thick skin goes with the root of
/// resistivity.
double temperature_factor(const Corner& corner, double temperature_c, double coefficient_per_k);

/// A tuner with the coils of both arms and its contacts at a corner.
tuner::Tuner corner_tuner(tuner::Tuner tuner, const Corner& corner);

/// A ladder with its fixed coils at a corner.
network::Ladder corner_ladder(network::Ladder ladder, const Corner& corner);

}  // namespace stile::plan::detail
