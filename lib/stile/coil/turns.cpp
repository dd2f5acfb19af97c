#include <stile/coil/turns.hpp>

#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/coil/analysis.hpp>
#include <stile/coil/closed_forms.hpp>

namespace stile::coil {

TurnsFound find_turns(const Winding& winding, double inductance_h, double frequency_hz, double step,
                      double most_turns) {
  require(winding.sections.size() == 1, "turns are found for a winding of one section");
  require(inductance_h > 0.0 && std::isfinite(inductance_h), "an inductance must be > 0 and finite");
  require(step == 1.0 || step == 0.5 || step == 0.25, "turns come in steps of 1, 0.5 or 0.25");
  require(most_turns >= 1.0 && most_turns <= 400.0, "the search for turns needs a limit from 1 to 400");
  Winding w = winding;
  const auto at = [&](double turns) {
    w.sections.front().turns = turns;
    return analyse(w, whole(w, Grounded::from), frequency_hz).inductance_h;
  };
  const double pitch_m = w.sections.front().pitch_m;
  double low = 1.0;
  while (low < most_turns &&
         rosa_inductance_h(low + 1.0, w.diameter_m, pitch_m, w.wire.diameter_m, true) < inductance_h)
    low += 1.0;
  double low_h = at(low), high_h = 0.0;
  while (low > 1.0 && low_h > inductance_h) low_h = at(low -= 1.0);
  while ((high_h = at(low + 1.0)) < inductance_h) {
    low += 1.0;
    low_h = high_h;
    if (low >= most_turns) return {TurnsStatus::too_many, low, low, low_h};
  }
  if (low_h > inductance_h) return {TurnsStatus::below_one_turn, 1.0, 1.0, low_h};
  TurnsFound found{TurnsStatus::found, low + (inductance_h - low_h) / (high_h - low_h), low, low_h};
  for (double extra = step; extra <= 1.0; extra += step) {
    const double h = extra == 1.0 ? high_h : at(low + extra);
    if (std::abs(h - inductance_h) < std::abs(found.inductance_h - inductance_h)) {
      found.nearest = low + extra;
      found.inductance_h = h;
    }
  }
  return found;
}

}  // namespace stile::coil
