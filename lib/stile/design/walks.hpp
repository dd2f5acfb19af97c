#pragma once
// A station as it is, on many walks that nobody showed it: what it does when the world is not as stated.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/station/station.hpp>

namespace stile::design {

/// What a walk may be like. Every range is an assumption, invented where nothing is said beside it; what has a wide
/// range is drawn evenly on a scale of ratios.
struct WalkSpread {
  Range lying_height_m{0.005, 0.3};  ///< of what of a wire lies (0.3 m or lower as stated): bare soil to heath
  double lean_rad = 0.26;            ///< of the whip, any way, at most; 0..0.7
  double bearing_rad = 0.8;          ///< of the wires from where they are stated, either way, at most; 0..1.5
  double bend_rad = 1.0;             ///< of a wire somewhere along its length, either way, at most; 0..1.5
  /// Steps of the soil, as factors on the stated conductivity; its permittivity less 1 goes with their root. A small
  /// table, so that walks share the kernels of the ground.
  std::vector<double> soil{0.25, 0.5, 1.0, 2.0, 4.0};
  /// Bias of the ground model: factor on the ground's share of the feed resistance, the same all along a walk. The
  /// station's uncertainty of the ground gives its low end 1/(1 + g) and its high end 1 + g; where wires lie that are
  /// short (wire::has_lying_corner) the high end is wire::lying_ground_factor.high, since that has been measured.
  bool bias = true;
  Range contact{1.0 / 3.0, 3.0};        ///< factor on what a hand on the set and its arm conduct
  Range leakage_ohm{1e5, 1e7};          ///< of a wet base, where one is stated
  Range base_capacitance{0.5, 2.0};     ///< factor on the stated one
  Range person_conductivity{0.7, 1.3};  ///< factor; wire::person_spread
};

/// One walk's draws for one condition: the same for every antenna, so that stations can be compared in pairs.
struct WorldDraw {
  double soil_factor = 1.0;
  double bias = 0.5;  ///< 0..1 along the range of the bias
  double contact = 1.0, leakage_ohm = 1e6, base_capacitance = 1.0, person = 1.0;
  double lying_height_m = 0.05;
  double lean_rad = 0.0, lean_towards_rad = 0.0;
  double bearing_rad = 0.0;
  double bend_rad = 0.0, bend_at = 0.5;  ///< share of the longest trailing wire's length
};

/// @param seed, walk, condition  the draw depends on these alone; soil, bias, contact, base and person on seed and walk
/// @throws DomainError  a range that is not rising or positive, an angle out of range, no soil
WorldDraw draw_world(const WalkSpread& spread, std::uint64_t seed, std::size_t walk, std::size_t condition);

/// An antenna and its ground in such a world. Wires keep their lengths: a wire that lies higher reaches farther. Set
/// and person stay where they are; where a wire would cross them or another, bearing, bend and lean are halved, at last
/// left out.
station::StatedWires in_world(const station::StatedWires& stated, const WorldDraw& draw);

/// Middle and bad end of a figure over the walks.
struct WalkFigure {
  double median = 0.0;
  double tenth = 0.0;  ///< nine walks of ten are no worse
};

struct WalkBand {
  std::string band;
  std::optional<WalkFigure> radiated_db, path_db;  ///< of the worst normal condition of each walk, as in a plan
  WalkFigure held_share;  ///< of the time in which SWR limit and ratings hold, 0..1, by the conditions' shares (even
                          ///< where none is stated)
};

struct ArrangementWalks {
  std::string name;
  std::vector<WalkBand> bands;
  std::vector<double> mean_db;  ///< one a walk: over bands, by their weights, of what counts (band by band: towards the
                                ///< path where one is stated for it)
  WalkFigure mean;              ///< of mean_db
};

struct Walks {
  std::size_t done = 0;                        ///< walks
  bool unfinished = false;                     ///< stopped before the last: of those that were done
  std::vector<ArrangementWalks> arrangements;  ///< in the station's order
  std::vector<std::string> assumptions;        ///< what was drawn from where, a sentence each
};

/// Called with how many walks are done, one call at a time.
using WalkProgress = std::function<void(std::size_t done, std::size_t total)>;

/// Takes a station on walks. On each its antennas of wires are solved anew in every normal condition, as the walk's
/// world has them; loads that are not of wires stay as they are. Settings that are stated are judged as they are;
/// automatic tuners set themselves anew. Settings that are not stated are found for each walk where a hand trims the
/// match, those of its other parts as well: the best within the SWR limit that could be carried there. Of a wound coil
/// the taps are held where they are stated, while its part across and its trimmer, which no file states, are found for
/// each walk: better than set once. Of other matches settings would be searched for each walk, which no fixed match can
/// do, and are refused.
///
/// Antennas are solved at both ends of the part of a band in use and at its design frequency, and in the middles
/// between where that part is wider than 1 %: each of these, as by wire::SolveOptions::every_point.
///
/// @param stated   its antennas stated as wires or solved from them (solve_loads)
/// @param threads  0: as many as the machine has; the result does not depend on it
/// @param stop     asked before each walk; true: no further ones. May be empty
/// @param weights  of the bands in mean_db, each > 0; empty: all the same
/// @throws DomainError  no walk; not one weight a band; a fixed match without settings (and turns of a coil to be found
/// are settings); as draw_world
Walks walk(const station::Station& stated, const WalkSpread& spread = {}, std::size_t walks = 200,
           std::uint64_t seed = 1, unsigned threads = 0, const WalkProgress& progress = {},
           const std::function<bool()>& stop = {}, const std::vector<double>& weights = {});

/// Two arrangements on the same walks, the first better as stated.
struct WalkRank {
  double first_better = 0.0;   ///< share of walks, by mean_db; even ones count half
  bool undecided = false;      ///< the rank flips: the second is better on more than one walk in ten
  bool first_steadier = true;  ///< nine walks of ten lose less with it
  std::string verdict;         ///< in one sentence
};

/// @throws DomainError  not the same number of walks, or none
WalkRank rank_on_walks(const ArrangementWalks& first, const ArrangementWalks& second);

}  // namespace stile::design
