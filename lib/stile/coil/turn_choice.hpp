#pragma once
// The number of turns that serves, by trying.

#include <functional>
#include <vector>

namespace stile::coil {

/// How a coil of so many turns serves; the lower, the better: first fewer that fail, then less loss.
struct TurnsJudged {
  int failing = 0;       ///< what it has to do and does not hold: bands, conditions
  double loss_db = 0.0;  ///< greatest, of what it has to do
};
bool operator<(const TurnsJudged& a, const TurnsJudged& b);

struct TurnsTried {
  double turns = 0.0;
  TurnsJudged judged;
};

struct TurnChoice {
  double turns = 0.0;             ///< the best of those tried
  TurnsJudged judged;             ///< nothing failing: it holds
  std::vector<TurnsTried> tried;  ///< in the order tried: rising
};

/// While something fails on every number tried, the search for a better one is so many times as patient: the numbers
/// that hold may begin some turns beyond the first that resonates, and those that fail say nothing of the way.
inline constexpr int more_patient = 2;

/// Tries whole numbers of turns upwards and takes the best; of equals the fewest turns. It ends after `patience`
/// numbers in a row that are no better (more_patient times as many while something fails), or at `most`.
///
/// @param least     the first tried, 1 to `most`: the number with which the coil reaches resonance, say
/// @param most      at most 400
/// @param patience  >= 1
/// @param judge     called once for each number, in order
/// @throws DomainError  outside these
TurnChoice choose_turns(double least, double most, int patience, const std::function<TurnsJudged(double)>& judge);

}  // namespace stile::coil
