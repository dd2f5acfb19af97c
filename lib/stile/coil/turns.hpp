#pragma once
// Turns for an inductance.

#include <functional>
#include <string>

#include <stile/coil/rings.hpp>
#include <stile/coil/winding.hpp>

namespace stile::coil {

enum class TurnsStatus {
  not_run,
  found,
  too_many,       ///< more turns than allowed would be needed
  below_one_turn  ///< one turn alone has more
};

struct TurnsFound {
  TurnsStatus status = TurnsStatus::not_run;
  double continuous = 0.0;    ///< turns that would give it exactly: a straight line between whole turns
  double nearest = 0.0;       ///< among the steps, the one that comes nearest to it
  double inductance_h = 0.0;  ///< of the nearest; of one turn, or of the most turns computed, when none is found
};

/// Turns of a winding of one section with which its whole length has an inductance (of the turns alone, without
/// capacitance).
///
/// @param winding       its turns are replaced; a last pitch stays that of the last turn
/// @param inductance_h  > 0
/// @param frequency_hz  at which, as turn_impedance_ohm
/// @param step          turns come in whole, half or quarter turns: 1, 0.5 or 0.25
/// @param most_turns    1 to 400; nothing beyond is computed
/// @param rings         how currents within the wire are treated
/// @param progress      called before each number of turns that is computed: hundreds take seconds each
/// @throws DomainError  a value outside its range, as check(winding), more turns than the model takes at the spacing
/// Accuracy: that of analyse(); the nearest is the best of the steps between two whole turns, each computed. The
/// straight line is within 0.03 turns of the inductance asked for, from two turns on (test_turns.cpp).
TurnsFound find_turns(const Winding& winding, double inductance_h, double frequency_hz, double step, double most_turns,
                      const RingOptions& rings = {}, const std::function<void(const std::string&)>& progress = {});

}  // namespace stile::coil
