#pragma once
// The worst of a sweep: what breaks ratings, what each part carries at most, the highest SWR.

#include <span>
#include <vector>

#include <stile/network/ladder.hpp>

namespace stile::network {

/// A value of a sweep with its frequency.
struct SweepValue {
  double value = 0.0;
  double frequency_hz = 0.0;
};

/// A rating that is broken, where its factor is greatest.
struct SweepOverload {
  double frequency_hz = 0.0;
  Overload overload;
};

/// The worst break of each part's ratings over a sweep: one a part at most, the greatest factor first, of equal ones
/// the part nearer to the transmitter; at the first of equally bad frequencies. Empty when every rating holds.
///
/// @param points  evaluations of the ladder, any order
/// @throws DomainError  a point belongs to another ladder
std::vector<SweepOverload> sweep_overloads(const Ladder& ladder, std::span<const Evaluation> points);

/// The most that one part carries, each at its own frequency.
struct HighestStress {
  SweepValue current_a_rms, voltage_v_peak, dissipation_w;
};

/// One for each element, at the first of equally high frequencies.
/// @param points  evaluations of one ladder, not empty
/// @throws DomainError  no point, or points of different ladders
std::vector<HighestStress> highest_stresses(std::span<const Evaluation> points);

/// The highest SWR, infinite where nothing is accepted; at the first of equally high frequencies.
/// @throws DomainError  no point
SweepValue highest_swr(std::span<const Evaluation> points);

/// The highest voltage across the load; at the first of equally high frequencies.
/// @throws DomainError  no point
SweepValue highest_load_voltage_v_peak(std::span<const Evaluation> points);

/// The most that any part carries at one frequency: each member of its own part, 0 without parts.
Stress highest_stress(const Evaluation& evaluation);

}  // namespace stile::network
