#include <stile/coil/turns.hpp>

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/coil/analysis.hpp>
#include <stile/coil/closed_forms.hpp>

namespace stile::coil {

TurnsFound find_turns(const Winding& winding, double inductance_h, double frequency_hz, double step, double most_turns,
                      const RingOptions& rings, const std::function<void(const std::string&)>& progress) {
  require(winding.sections.size() == 1, "turns are found for a winding of one section");
  require(inductance_h > 0.0 && std::isfinite(inductance_h), "an inductance must be > 0 and finite");
  require(step == 1.0 || step == 0.5 || step == 0.25, "turns come in steps of 1, 0.5 or 0.25");
  require(most_turns >= 1.0 && most_turns <= 400.0, "the search for turns needs a limit from 1 to 400");
  Winding w = winding;
  std::map<double, double> computed;
  const auto at = [&](double turns) {
    if (const auto known = computed.find(turns); known != computed.end()) return known->second;
    if (progress) progress(fmt::format("{:g} turns ({} computed before)", turns, computed.size()));
    w.sections.front().turns = turns;
    const CoilModel model = coil_model(w, rings);
    return computed[turns] = analyse(model, solve_turns(model, frequency_hz), whole(w, Grounded::from)).inductance_h;
  };
  const double last = step * std::floor(most_turns / step), last_whole = std::floor(most_turns);
  const auto rosa_h = [&](double turns) {
    return rosa_inductance_h(turns, w.diameter_m, w.sections.front().pitch_m, w.wire.diameter_m, true);
  };
  // The closed form gives the first guess, and once more with what it was off there.
  double low = 1.0;
  for (const bool again : {false, true}) {
    const double factor = again ? at(low) / rosa_h(low) : 1.0;
    low = 1.0;
    while (low < last_whole && factor * rosa_h(low + 1.0) < inductance_h) low += 1.0;
  }
  while (low > 1.0 && at(low) > inductance_h) low -= 1.0;
  if (at(low) > inductance_h) return {TurnsStatus::below_one_turn, 1.0, 1.0, at(low)};
  while (low + 1.0 <= last && at(low + 1.0) < inductance_h) low += 1.0;
  const double high = std::min(low + 1.0, last);
  if (at(high) < inductance_h) return {TurnsStatus::too_many, high, high, at(high)};
  TurnsFound found{TurnsStatus::found, low, low, at(low)};
  if (high > low) found.continuous += (high - low) * (inductance_h - at(low)) / (at(high) - at(low));
  for (int n = 1; low + n * step <= high; ++n) {
    const double turns = low + n * step;
    if (std::abs(at(turns) - inductance_h) < std::abs(found.inductance_h - inductance_h)) {
      found.nearest = turns;
      found.inductance_h = at(turns);
    }
  }
  return found;
}

}  // namespace stile::coil
