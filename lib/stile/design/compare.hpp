#pragma once
// What was found, and the station that is carried today, on walks that the search was not shown.

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <stile/design/design.hpp>
#include <stile/design/walks.hpp>

namespace stile::design {

/// An arrangement of the station that is compared with.
struct PresentStation {
  std::string name;
  double objective_db = 0.0;  ///< as stated, over the bands that it has in common with the brief, by their weights
  std::size_t held_bands = 0;
  std::size_t bands = 0;                      ///< in common
  std::vector<BandFigures> figures;           ///< of these; without bounds and settings
  ArrangementWalks walks;                     ///< of its own bands and conditions; empty without walks
  std::optional<ArrangementWalks> trimmed{};  ///< of one that a hand trims: trimmed on each walk
  std::string
      differs;  ///< why it is given no rank: "its bands differ: 40 m against 40 m, 20 m"; empty: it can be ranked
};

struct Comparison {
  std::size_t walks = 0;                   ///< done
  bool unfinished = false;                 ///< stopped before the last
  std::vector<ArrangementWalks> stations;  ///< in the order of Design::stations; the first of them alone, or none, by
                                           ///< the options. As set
  std::vector<std::optional<ArrangementWalks>> trimmed;  ///< of these: trimmed on each walk, where a hand trims
  std::vector<PresentStation> present;
  std::vector<std::string> verdicts;     ///< a rank on the walks, or why there is none; one that flips is undecided
  std::vector<std::string> assumptions;  ///< of the walks
};

struct CompareOptions {
  std::size_t walks = 200;  ///< 0: none, figures as stated alone
  bool first_only = false;  ///< of the stations found only the first takes them
  std::uint64_t seed = 1;
  bool every_point = false;  ///< the present station is solved at each frequency: wire::SolveOptions::every_point
  unsigned threads = 0;
  std::function<void(const Progress&)> progress;  ///< of walks; may be empty; one call at a time
  std::function<bool()> stop;                     ///< may be empty
};

/// Takes the stations of a design on walks, in pairs with one another and with a present station: the same seed draws
/// the same worlds where the lists of conditions agree. A present station whose bands, paths, conditions or their soils
/// are not the brief's, or whose loads are not of wires, so that no world changes them, is walked with but given no
/// rank: PresentStation's `differs` says why. Means are by the brief's weights where the bands are the brief's, else
/// even over its own. Settings and taps that the present station does not state are those that its plan prescribes. A
/// wound coil that a hand trims is trimmed on each walk: it has no settings as set. Of one that is set once the part
/// across is found on each walk.
///
/// @param present  as it is read; nothing: none is compared with
/// @throws DomainError  as walk; no band in common
Comparison compare(const station::Brief& brief, const Design& design, const std::optional<station::Station>& present,
                   const CompareOptions& options = {});

}  // namespace stile::design
