#pragma once
// Antennas of a brief as loads: solved once and kept, or interpolated in their lengths. Internal to the room.

#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <vector>

#include <stile/load/load.hpp>
#include <stile/station/brief.hpp>
#include <stile/wire/ground_tables.hpp>
#include <stile/wire/solve.hpp>

namespace stile::design::detail {

/// Distance of the grid over lengths that may be any.
inline constexpr double grid_m = 0.5;

/// Of the antennas through which a quadratic goes, and how far from its middle it may be asked.
inline constexpr double quadratic_step_m = 0.25, quadratic_reach_m = 0.375;

/// The same antenna with its wires falling.
station::AntennaChoice in_order(station::AntennaChoice antenna);

/// Length number n of an antenna: whip, then wires.
double& length_of(station::AntennaChoice& antenna, std::size_t n);
double length_of(const station::AntennaChoice& antenna, std::size_t n);

/// Lengths of a grid: where a step is stated, from the lower end upwards; otherwise multiples of grid_m and the two
/// ends, so that the multiples of narrower limits are among those of wider ones.
/// @param most_m  none is longer, but the lower end
std::vector<double> grid(const station::LengthChoice& choice, double most_m);

/// An antenna at the search's frequencies in one condition.
struct AntennaSamples {
  std::string condition;
  std::vector<cdouble> z_ohm;
  std::vector<load::PowerShares> shares;
  std::vector<double> path_gain;  ///< 0 where no path is stated
};

/// One a condition; empty: a geometry that cannot be, or a load without resistance.
using SolvedAntenna = std::vector<AntennaSamples>;

/// Every antenna that a search asks for. May be asked from several threads; which antennas are solved does not depend
/// on them.
class Antennas {
public:
  /// @param bands  narrowed to the parts in use
  Antennas(station::Brief brief, std::vector<station::Band> bands);

  /// Whether they are those of this brief.
  bool of(const station::Brief& brief) const { return brief.text == brief_.text && brief.file == brief_.file; }

  /// Of the solver: kernels of grounds that all antennas share. Results do not depend on what was solved before.
  wire::SolveOptions solving() const;

  /// Solves what is not known of these, so that `solved` has it at once: band by band, so that what antennas with wires
  /// in common share is still at hand.
  void solve_all(const std::vector<station::AntennaChoice>& antennas, unsigned threads) const;

  /// Its loads, one a condition; empty: it cannot be.
  std::vector<load::Load> solved(const station::AntennaChoice& antenna) const;

  /// Whether more than two of its lengths may be any: then antennas are not interpolated over all lengths but near one.
  bool many_lengths(const station::AntennaChoice& antenna) const;

  /// The same from antennas around it: the reflection of the feed in 300 ohm, which has no poles, the shares and the
  /// gain, each by a polynomial.
  ///
  /// Up to two lengths that may be any: through up to six of each, whip by wire. Solved where a wire hangs in the air
  /// and does not lie yet, or where one of those antennas cannot be. Accuracy: a match without loss made for the one
  /// loses on the other less than 0.2 dB, 1.2 dB with a wire below 2.5 m, with what differs in the share that leaves,
  /// to 28.5 MHz; the gain towards a path is within 0.2 dB with wires from 2.5 m on (of bare wires without set and
  /// person, test_antennas.cpp).
  ///
  /// More lengths: a quadratic through `near` and antennas that differ from it by quadratic_step_m in one length or
  /// two (at a limit by twice as much), all solved; that a wire begins to lie is not seen. Accuracy: within
  /// quadratic_reach_m in every length such a match loses less than 0.2 dB on half of the antennas, 0.6 dB on eight in
  /// ten, 6 dB near a wire's resonance (two bundled wires from 4 m on, to 28.5 MHz).
  ///
  /// A search solves what it takes, and where that is off by 0.05 dB it goes on from there.
  /// @param near  other lengths of the antenna, solved: what interpolation is off by there is taken off, less and less
  ///              with distance, nothing from grid_m on. Nothing: as it is; with many lengths it is solved
  std::vector<load::Load> interpolated(const station::AntennaChoice& antenna,
                                       const std::optional<station::AntennaChoice>& near = {}) const;

  std::size_t antennas() const;  ///< solved so far
  std::size_t solves() const;    ///< times conditions times frequencies

private:
  struct Kept {
    std::once_flag once;
    SolvedAntenna solved;
  };
  const SolvedAntenna& kept(const station::AntennaChoice& antenna) const;
  /// From antennas around it, reflections in place of impedances; nothing: it is to be solved.
  std::optional<SolvedAntenna> between(const station::AntennaChoice& antenna) const;
  /// Likewise by a quadratic about another.
  std::optional<SolvedAntenna> about(const station::AntennaChoice& antenna, const station::AntennaChoice& centre) const;
  /// The sum of reflections, shares and gains of antennas, each with its weight; nothing: one of them cannot be.
  std::optional<SolvedAntenna> sum_of(const std::map<station::AntennaChoice, double>& weights) const;
  void correct(SolvedAntenna& sum, const station::AntennaChoice& antenna, const station::AntennaChoice& at) const;
  SolvedAntenna solve(const station::AntennaChoice& antenna) const;
  /// At frequencies that are solved with one mesh.
  SolvedAntenna solve(const std::vector<wire::WireCase>& cases, const std::vector<double>& frequencies_hz) const;
  const SolvedAntenna& keep(const station::AntennaChoice& antenna, const std::function<SolvedAntenna()>& solved) const;
  std::vector<load::Load> loads(const SolvedAntenna& samples) const;

  station::Brief brief_;
  std::vector<station::Band> bands_;
  std::vector<double> frequencies_hz_;
  std::vector<std::vector<double>> stretches_hz_;  // the same, in stretches that share a mesh
  std::vector<double> whips_m_, wires_m_;  // between which is interpolated; empty: where a step or one length is stated
  double touching_m_ = 0.0;
  std::shared_ptr<wire::GroundTables> tables_;
  std::shared_ptr<wire::KnownCouplings> known_;
  mutable std::mutex asking_;
  mutable std::map<station::AntennaChoice, std::shared_ptr<Kept>> kept_;
  mutable std::size_t count_ = 0;  // of them that can be
};

}  // namespace stile::design::detail
