#pragma once
// Places of a coil between transmitter and antenna that can be touched, as circuits behind the antenna. Internal to the
// room.

#include <map>
#include <optional>
#include <vector>

#include <stile/coil/analysis.hpp>
#include <stile/plan/plan.hpp>
#include <stile/safety/contact.hpp>
#include <stile/station/station.hpp>

namespace stile::plan::detail {

/// What of a coil can be touched.
struct TouchableCoil {
  std::vector<safety::CoilPlace> places;  ///< its taps, and where turns beyond them are left open their end, the last
  bool open_end = false;                  ///< it is among them
  double end_over_tap = 1.0;  ///< of a coil in series: voltage along all turns over that along the turns in use
};

/// The coil of one arrangement; solves a winding once a frequency.
class CoilPlaces {
public:
  /// @param winding  of a coil from stated wire, with all its turns; nothing: its values are stated
  CoilPlaces(const station::Arrangement& arrangement, const std::optional<coil::Winding>& winding);

  /// As one condition has it at its design frequency; nothing of a tuner, which is closed, and where no coil is in use.
  /// Of a coil whose values are stated its end towards the antenna. Derivation: a winding with z between its places
  /// gives V_place = V_tap + (z_aa - z_ta) I_a + (z_at - z_tt) I_hand against the transmitter's end of a coil in
  /// series; of an autotransformer, whose start is at ground and whose transmitter's current follows from V_tap, the
  /// same with V_tap and the row of the antenna's tap times z_tf/z_af. Trimmer, contacts, leads and cable follow.
  TouchableCoil at(const ConditionResult& condition);

private:
  const coil::TurnSolution& turns(double frequency_hz);

  station::Arrangement arrangement_;
  std::optional<coil::Winding> winding_;
  std::optional<coil::CoilModel> model_;  // of the winding, once it is asked for
  std::map<double, coil::TurnSolution> turns_;
};

}  // namespace stile::plan::detail
