#pragma once
// What is asked of a search when it is over: what mass and hands buy, which band pays for the others, what each wire is
// for, which lengths to avoid, and what a hand on the set does to the best.

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/design/compare.hpp>
#include <stile/design/design.hpp>

namespace stile::design {

/// Stations of which none is beaten: no other costs as little or less, loses as little or less and holds as many bands
/// or more, one of them really. Bands count under Objective::held alone.
struct Frontiers {
  std::vector<DesignedStation> stations;  ///< of both, each once, solved exactly
  std::vector<std::size_t>
      by_mass;  ///< of `stations`, by rising mass of antenna and match; empty where no mass is known
  std::vector<std::size_t> by_hands;  ///< by what a hand touches (touches_of), rising
  std::size_t compared = 0;           ///< antennas with a match, of all classes of touch, by the figures of the search
  /// What a heavier one of by_mass had to gain, or to hold a band more, when it was picked by the figures of the
  /// search: so much that most_of_a_frontier are picked, since each is solved exactly. The best of each class are among
  /// those compared without it.
  double least_gain_db = 0.0;
  /// By the figures of the search they gain frontier_gain_db or a band, and were not picked; where too many hold a band
  /// more, what is picked lies evenly between the others.
  std::size_t left_out = 0;
};

inline constexpr std::size_t most_of_a_frontier = 8;
inline constexpr double frontier_gain_db = 0.1;

/// Things that a hand touches: at a change of band, the most of any two bands in turn, and between conditions,
/// together.
int touches_of(const DesignedStation& station);

/// What a band costs the others: the station that would be best without it, among those that were tried.
struct BandCost {
  std::string band;
  double others_db = 0.0;        ///< mean of the other bands, by their weights, with the first station
  std::size_t others_hold = 0;   ///< of them
  double without_db = 0.0;       ///< the same with the best station for them
  std::size_t without_hold = 0;  ///< likewise
  station::AntennaChoice antenna;
  std::string network_name;
};

/// A wire, or the choke, the hat or the coil on the whip, taken away, everything else as it is and the match set anew.
struct WireUse {
  std::string wire;
  bool possible = false;           ///< without it the antenna can be fed
  double lost_db = 0.0;            ///< of the objective; < 0: it is better without
  std::vector<double> on_band_db;  ///< of each band of the brief
  std::vector<std::string> stops;  ///< bands that then stop holding, under Objective::held
};

/// Where along a length a band loses.
struct Avoid {
  std::string what;  ///< "whip length"
  std::string band;
  std::vector<Range> loses;  ///< m: more than avoid_db is lost against the best length that was tried, rising
  /// Of a lying wire: near half a wave or a multiple (wire::lengths_to_avoid), by its velocity factor on the first
  /// condition's ground; without its insulation.
  std::vector<Range> half_wave;
};

inline constexpr double avoid_db = 3.0;

/// One length varied, the others and the match's kind as in the first station, the match set anew.
struct LengthScan {
  std::string what;
  std::vector<double> length_m;
  std::vector<std::vector<double>> counted_db;  ///< by length, then band; infinite: cannot be
};

/// The first station of a brief without a hand on the set, with one among the conditions.
struct HandBeside {
  std::string conditions;  ///< those that were added; where others have a share of the time, with their mean
  std::optional<PresentStation> as_set;  ///< its settings as they are; nothing where a hand trims, which
                                         ///< has none for it, and of a wound coil (not done yet)
  DesignedStation anew;                  ///< the match set anew for all conditions, the hand's among them
};

struct Answer {
  Frontiers frontiers;
  std::vector<BandCost> bands;  ///< empty of a brief of one band
  std::vector<WireUse> wires;   ///< equal ones once
  std::vector<LengthScan> scans;
  std::vector<Avoid> avoid;
  std::optional<HandBeside> hand;  ///< nothing: the brief has a hand, or it was not asked
  std::string hand_refused;        ///< why the brief takes no further condition; empty: it does, or has a hand
  bool unfinished = false;
};

struct AnswerOptions {
  bool every_point = false;                       ///< as SearchOptions::every_point
  unsigned threads = 0;                           ///< 0: as many as the machine has; the result does not depend on it
  std::function<void(const Progress&)> progress;  ///< may be empty; one call at a time
  std::function<bool()> stop;  ///< asked between antennas; true: what there is, marked as unfinished. May be empty
};

/// Asks all that of a search. Of one that found nothing or was stopped there is no answer.
/// Accuracy: frontiers are those of a plan of their stations, and of stile-plan on their files (1e-6 dB,
/// test_answer.cpp and the tests of the tool); scans and wires have those of the search.
Answer answer(const station::Brief& brief, const Design& design, const AnswerOptions& options = {});

/// The objective over whip and longest wire, everything else as in the first station, the match set anew.
struct LengthMap {
  std::vector<double> whip_m, wire_m;   ///< rising, even: the brief's limits
  std::vector<double> objective_db;     ///< row by row of wire, whip_m.size() in each; infinite: cannot be
  std::vector<std::size_t> held_bands;  ///< likewise
  double best_whip_m = 0.0, best_wire_m = 0.0, best_db = 0.0;
  std::size_t best_held = 0;
  bool unfinished = false;
};

/// @param whips, wires  how many lengths, 2..60 each; a length that may not be chosen has one
/// @throws DomainError  a design without a station, or with one without a wire; numbers out of range
LengthMap length_map(const station::Brief& brief, const Design& design, std::size_t whips = 11, std::size_t wires = 15,
                     const AnswerOptions& options = {});

}  // namespace stile::design
