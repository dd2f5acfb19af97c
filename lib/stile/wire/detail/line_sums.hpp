#pragma once
// Sums over points of lines of exp(-jkR)/R and its slope, weighed with what they make of fields. Internal to the room.

#include <array>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/wire/detail/fours.hpp>
#include <stile/wire/geometry.hpp>

namespace stile::wire::detail {

/// Points along a line, as shares of it, and their weights.
struct LineNodes {
  std::vector<double> x, weight;
};

/// A line with current and charge on it, from its start to its end.
struct ChargedLine {
  Vec3 start, whole;
  Vec3 direction;                  ///< of the current; the line itself, or what it is the image of
  std::array<cdouble, 2> level;    ///< current along x and y: at the start, and how much more at the end, times length
  std::array<cdouble, 2> upright;  ///< along z
  cdouble charge;                  ///< times length
};

/// What fields are made of, without mu0/4pi and 1/(4 pi eps0 j w), components x, y, z.
struct PotentialSums {
  std::array<cdouble, 3> potential;  ///< A
  std::array<cdouble, 3> slope;      ///< of the scalar potential, A/m^2
  std::array<cdouble, 3> curl;       ///< of A
};

/// Adds up lines in fours. Accuracy: 1e-12 of the largest term.
class LineSums {
public:
  explicit LineSums(double k_rad_m) : k_rad_m_(k_rad_m) {}
  /// @param nodes   grow by points without weight to a whole number of fours
  /// @param at      where the field is
  /// @param apart2  added to the square of each distance, m^2
  void add(LineNodes& nodes, Vec3 at, double apart2, const ChargedLine& line);
  PotentialSums total() const;

private:
  double k_rad_m_;
  std::array<Four, 18> sums_{};
};

}  // namespace stile::wire::detail
