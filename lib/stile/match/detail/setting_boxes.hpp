#pragma once
// The best setting where values are continuous: boxes of values are halved, best bound first, until none can hold
// anything better. Internal to the room.
//
// A box has an interval of values in each slot. Over an interval the impedance w/(1 + j b w), w = z0 + zeta t, of a
// part stays within a disc about its value at the geometric middle; V and I are walked from the load as discs, and so
// are the waves at the input. Least |A| and least |B|/|A| bound what any setting in the box radiates and what it
// reflects. Discs shrink with the box, so the bound meets the value in its middle. What is found is improved by small
// steps of all values before the search goes on. Source: circular complex arithmetic (Gargantini and Henrici, Numer.
// Math. 18, 1972); branch and bound is common practice.

#include <cstddef>
#include <vector>

#include <stile/match/detail/setting_search.hpp>

namespace stile::match::detail {

inline constexpr std::size_t most_slots = 6;

/// What may stand in a slot: one part, or a range of values.
struct Piece {
  struct Law {             // at one frequency
    cdouble z0{}, zeta{};  // w = z0 + zeta t
    double parallel_siemens = 0.0;
    double t_of_one = 1.0;  // t of a value of 1 H, or 1 F
  };
  bool of_range = false, inverse = false;  // inverse: t falls with the value (capacitor)
  double low = 0.0, high = 0.0;            // value, H or F
  std::vector<Law> laws;                   // of a range, one a frequency
  std::vector<cdouble> fixed;              // of one part: z (series) or y (shunt), one a frequency
  std::size_t index = 0;                   // the caller's
};

/// From load to transmitter.
struct BoxSlot {
  bool series = true;
  std::vector<Piece> pieces;
};

struct BoxSetting {
  std::size_t circuit = 0;
  double share = -1.0;  // at the worst point; -1: none
  std::vector<std::size_t> pieces;
  std::vector<double> values;  // of ranges
};

struct BoxAnswer {
  BoxSetting best;
  double bound_share = 0.0;  // nothing within the limits has a greater share at its worst point
  bool closed = false;       // the bound is within the gap, or nothing is left
  std::size_t tried = 0;     // settings evaluated: the middles of boxes
};

/// @param circuits    slots of each; at most most_slots
/// @param must_hold   only settings within the SWR limit at every point
/// @param known       a setting that is known, or its share alone without pieces; only better ones are of interest
/// @param parts_known  settings of single parts alone, without a range, were all looked at: none is better than `known`
/// @param gap         > 1: ends when no setting has more than this times the best share
BoxAnswer search_boxes(const std::vector<std::vector<BoxSlot>>& circuits, const Points& points,
                       const SourceLimits& limits, bool must_hold, BoxSetting known, bool parts_known, double gap,
                       std::size_t most_boxes);

}  // namespace stile::match::detail
