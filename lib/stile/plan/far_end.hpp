#pragma once
// What the other end notices: S units, and the share of contacts that a loss costs.

namespace stile::plan {

/// A level of a signal as a meter that follows the recommendation reads it.
///
/// @param level_dbm  at 50 ohm, finite
/// @return  S units: 9 is S9, 8.5 half a unit below; 20 dB over S9 is 9 + 20/6; below S1 (-121 dBm) it goes on as it falls
/// @throws DomainError  not finite
/// Accuracy: exact. Meters of real sets rarely follow 6 dB a unit (common practice).
/// Source: IARU Region 1 Technical Recommendation R.1 (Brighton 1981): below 30 MHz S9 is -73 dBm, 6 dB a step.
double s_reading(double level_dbm);

/// How good the contacts are that an operator usually makes.
struct ContactMargin {
  double margin_db = 0.0;  ///< median of what a contact has to spare with the reference, as the operator states it
  double sigma_db =
      8.0;  ///< > 0, standard deviation of signal less what is needed, from contact to contact: from memory
};

/// Share of the contacts that would have been made with the reference and are not when the signal is weaker by a loss:
/// (Phi((loss - margin)/sigma) - Phi(-margin/sigma)) / Phi(margin/sigma), 0 when nothing is lost. A model, no forecast: spare
/// signal spread normally in dB, and a contact fails where none is left.
///
/// @param loss_db  >= 0, against the reference; infinite gives 1
/// @throws DomainError  loss nan or < 0; margin not finite; sigma not finite and > 0
/// Accuracy: 1e-12.
double contacts_lost(double loss_db, const ContactMargin& contacts);

/// Share of all calls that fail at a loss, of those that fail already without it included: Phi((loss - margin)/sigma).
/// @throws DomainError  as contacts_lost
/// Accuracy: 1e-15.
double contacts_failed(double loss_db, const ContactMargin& contacts);

}  // namespace stile::plan
