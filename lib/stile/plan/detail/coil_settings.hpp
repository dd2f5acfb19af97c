#pragma once
// Settings of a plan as those of a coil, whether it is wound in the station or stated by its inductance. Internal to
// the room.

#include <string>
#include <utility>
#include <vector>

#include <stile/plan/coil_prescription.hpp>

namespace stile::plan::detail {

/// Whether a condition is among those asked for; empty: all are.
bool counts(const std::vector<std::string>& conditions, const std::string& condition);

/// Current through an element of the plan's ladder: through its branch, as a coil's own stress is that of its winding,
/// behind self-capacitance and trimmer.
double branch_current_a_rms(const ConditionResult& result, std::size_t element, double frequency_hz);

/// What the plan says of an arrangement on a band in a condition, the coil's own figures left out.
CoilSetting coil_setting(const station::Station& station, const station::Arrangement& arrangement,
                         const BandResult& band, const ConditionResult& result, std::size_t condition);

/// Ratings of the setting's turns in use with its current.
coil::CoilRatings rated(const CoilSetting& setting, const coil::CoilModel& model, coil::Service service);

/// Of one arrangement on one band: the fault of the normal condition that is farthest from holding; of equals the
/// first.
class WorstFault {
public:
  explicit WorstFault(double swr_limit) : swr_limit_(swr_limit) {}

  /// Takes a setting that does not hold.
  /// @param unmade  why it cannot be made of the winding, which is farther than all that the plan finds; empty: it can
  void take(const CoilSetting& setting, const ConditionResult& result, const station::Arrangement& arrangement,
            const std::string& unmade = "");

  /// 'by hand: SWR 3.2 in "wet"'; empty: everything holds.
  const std::string& text() const { return text_; }

private:
  double swr_limit_;
  std::string text_;
  std::pair<double, double> farthest_{};
};

/// The places of the wire that settings use, in rising order; not those at which the plan's reactance is not reached.
/// @param conditions  how many count: a band that a place serves in all of them is named alone
std::vector<CoilTap> taps_of(const std::vector<CoilSetting>& settings, std::size_t conditions);

}  // namespace stile::plan::detail
