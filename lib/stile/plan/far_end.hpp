#pragma once
// What the other end notices: S units against the best and against a full-size antenna, and the share of contacts that
// a loss costs.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <stile/plan/plan.hpp>
#include <stile/wire/solve.hpp>

namespace stile::plan {

/// A level of a signal as a meter that follows the recommendation reads it.
///
/// @param level_dbm  at 50 ohm, finite
/// @return  S units: 9 is S9, 8.5 half a unit below; 20 dB over S9 is 9 + 20/6; below S1 (-121 dBm) it goes on as it
/// falls
/// @throws DomainError  not finite
/// Accuracy: exact. Meters of real sets rarely follow 6 dB a unit (common practice).
/// Source: IARU Region 1 Technical Recommendation R.1 (Brighton 1981): below 30 MHz S9 is -73 dBm, 6 dB a step.
/// For users of the library.
double s_reading(double level_dbm);

using station::ContactMargin;

/// Share of the contacts that would have been made with the reference and are not when the signal is weaker by a loss:
/// (Phi((loss - margin)/sigma) - Phi(-margin/sigma)) / Phi(margin/sigma), 0 when nothing is lost. A model, no forecast:
/// spare signal spread normally in dB, and a contact fails where none is left.
///
/// @param loss_db  >= 0, against the reference; infinite gives 1
/// @throws DomainError  loss nan or < 0; margin not finite; sigma not finite and > 0
/// Accuracy: 1e-12.
double contacts_lost(double loss_db, const ContactMargin& contacts);

/// Share of all calls that fail at a loss, of those that fail already without it included: Phi((loss - margin)/sigma).
/// @throws DomainError  as contacts_lost
/// Accuracy: 1e-15.
double contacts_failed(double loss_db, const ContactMargin& contacts);

/// A full-size antenna to compare with: a vertical of a quarter wavelength with four level radials as long, of copper
/// wire of 1 mm radius, its foot at a whip's height, fed without loss or mismatch.
struct QuarterWave {
  double radiated_share = 0.0;        ///< of the power into it, 0..1
  std::optional<double> path_gain{};  ///< mean into the path's elevations; nothing without a path
};

/// @param foot_height_m  > 0; below a tenth of a metre it is put there
/// @throws DomainError   as wire::solve_antenna
/// Accuracy: that of the wire solver; over a perfect ground all of it is radiated but what heats the copper (under 3 %
/// at 7.1 MHz).
QuarterWave quarter_wave(const wire::Ground& ground, double foot_height_m, double frequency_hz,
                         const std::optional<station::Path>& path, const wire::SolveOptions& options = {});

/// How one arrangement on one band is heard, in its worst normal condition, by the power that counts there.
struct FarEnd {
  std::size_t band = 0, arrangement = 0;
  double against_best_db = 0.0;   ///< weaker than the best arrangement of the band with which it may be compared
                                  ///< (compared.hpp), >= 0; infinite: not heard at all
  Range against_best_range_db{};  ///< the same wherever uncertain inputs lie: ArrangementResult::against_best
  std::optional<double>
      against_quarter_wave_db{};  ///< weaker than a quarter wave at full power over the ground of that
                                  ///< condition; unknown without wires, or where delivered power counts
  std::optional<double> contacts_failed{}, contacts_lost{};  ///< of the loss against the best; with [contacts] alone
};

/// For every band and arrangement, in their order.
/// @param solved   as for make_plan
/// @param plan     of that station
/// @throws DomainError  a plan of another station
/// Accuracy: differences of the plan's figures; see quarter_wave, contacts_failed, contacts_lost.
std::vector<FarEnd> far_ends(const station::Station& solved, const Plan& plan,
                             const std::function<void(const std::string&)>& progress = {}, unsigned threads = 0);

}  // namespace stile::plan
