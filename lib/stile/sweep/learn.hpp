#pragma once
// What a measurement tells that no model can know: ground loss, loss from the width of a resonance, a coil's own
// capacitance, a tuner's loss, a relay that does not switch.

#include <string>
#include <string_view>
#include <vector>

#include <stile/network/two_port.hpp>
#include <stile/sweep/judge.hpp>

namespace stile::sweep {

/// A value with the half-width of its 95 % interval, or whatever width the inputs were stated with.
struct Uncertain {
  double value = 0.0;
  double uncertainty = 0.0;  ///< >= 0
};

/// A value known within a relative error >= 0.
Uncertain within(double value, double relative);

/// Ground (and every other unknown) loss from a measured feed resistance.
struct FeedLoss {
  Uncertain loss_ohm;          ///< feed - radiation - known; below 0 where the inputs contradict each other
  Uncertain efficiency;        ///< radiation / feed
  bool contradiction = false;  ///< the loss is below 0 by more than its uncertainty
};

/// @param feed_ohm       measured resistance at the feed, > 0
/// @param radiation_ohm  computed, referred to the feed, > 0; its uncertainty is that of the model
/// @param known_ohm      losses known otherwise (coil, metal), referred to the feed, >= 0
/// @throws DomainError  outside these, or a negative uncertainty
/// Source: R_feed = R_radiation + R_known + R_rest, one current; uncertainties added in squares.
FeedLoss loss_from_feed_resistance(const Uncertain& feed_ohm, const Uncertain& radiation_ohm,
                                   const Uncertain& known_ohm = {});

/// The same at a frequency of a sweep; the feed resistance has the sweep's uncertainty there (two standard deviations).
/// @throws DomainError  outside the sweep's data, or as above
FeedLoss loss_at(const OnePort& sweep, double frequency_hz, const Uncertain& radiation_ohm,
                 const Uncertain& known_ohm = {});

/// Half-power width and Q of a resonance from two frequencies of equal SWR around it.
struct Width {
  double resonance_hz = 0.0;  ///< geometric mean of the two
  double half_power_hz = 0.0;
  double q = 0.0;  ///< of the circuit alone, without the instrument
};

/// @param low_hz, high_hz  where the SWR is swr_edge, 0 < low < high
/// @param least_swr        at resonance, >= 1; swr_edge > least_swr
/// @param high_resistance  R is least_swr R0 there, otherwise R0 / least_swr (SWR alone does not tell; a reading of R
/// does)
/// @param parallel         a parallel resonance: R is highest there
/// @throws DomainError  outside these
/// Accuracy: 1e-9 for a series or parallel circuit of R, L and C (test_learn.cpp).
/// Source: |G|^2 = ((R-R0)^2 + X^2)/((R+R0)^2 + X^2) solved for X at the edges; X rises by 2 R over the half-power
/// width. For users of the library.
Width width_from_swr(double low_hz, double high_hz, double swr_edge, double least_swr, bool high_resistance,
                     bool parallel = false);

/// Resistance in series with a known inductance from the half-power width: R = 2 pi L width.
/// @throws DomainError  values not > 0
/// For users of the library.
Uncertain resistance_from_width(const Uncertain& inductance_h, const Uncertain& half_power_hz);

/// Resistance across a known capacitance from the half-power width of a parallel resonance: R = 1/(2 pi C width).
/// @throws DomainError  values not > 0
/// For users of the library.
Uncertain shunt_resistance_from_width(const Uncertain& capacitance_f, const Uncertain& half_power_hz);

/// A coil from two resonances with known capacitors across it.
struct CoilFromResonances {
  Uncertain inductance_h, self_capacitance_f;
};

/// @param first_hz, second_hz  resonances, > 0
/// @param first_f, second_f    capacitors across the coil, >= 0 (0: none), different; the larger with the lower
/// resonance
/// @throws DomainError  outside these
/// Source: 1/w^2 = L (C + C_own) at both: L = (1/w2^2 - 1/w1^2)/(C2 - C1) (common practice; derived). Uncertainties by
/// the derivatives, added in squares. An own capacitance of a few pF from capacitors of a few per cent is mostly
/// uncertainty.
CoilFromResonances coil_from_resonances(const Uncertain& first_hz, const Uncertain& first_f, const Uncertain& second_hz,
                                        const Uncertain& second_f);

/// Q of a coil from its resonance with a good capacitor: resonance over half-power width.
/// @throws DomainError  values not > 0
/// For users of the library.
Uncertain q_from_width(const Uncertain& resonance_hz, const Uncertain& half_power_hz);

/// Loss of a tuner or any two-port from its S parameters: what enters and does not come out, dB. Mismatch has no part
/// in it.
///
/// @param s           both references real; |S11| < 1, S21 not 0
/// @param series_ohm  resistance between port 2 and the instrument, >= 0: it belongs to the load (a 2400 ohm resistor
///                    in front of 50 ohm makes a load of 2450)
/// @return  10 log10((1 - |S11|^2)/(|S21|^2 (1 + series/R2)))
/// @throws DomainError  outside these
double two_port_loss_db(const network::ScatteringMatrix& s, double series_ohm = 0.0);

struct TwoPortLoss {
  double frequency_hz = 0.0;
  double loss_db = 0.0;  ///< below 0: more leaves than enters, by errors of the instrument
};

/// The same over a sweep of two ports, from S11 and S21 alone; points where nothing enters or leaves are left out.
/// @throws Error  not two ports
std::vector<TwoPortLoss> two_port_losses(const Sweep& sweep, double series_ohm = 0.0);

/// Loss of a tuner matched into R, from the SWR at its input with R/2 and with 2R in place of R and nothing touched.
///
/// @param swr_half, swr_double  > 1
/// @throws DomainError  outside these
/// @return  dB: 5 log10((S1+1)(S2+1)/(9 (S1-1)(S2-1))); 0 for S1 = S2 = 2; below 0 only by errors of reading
/// Source: F. Witt, How to evaluate your antenna tuner, QST April and May 1995 (formula second-hand). Off by
/// 5 log10|1 - S22^2/9|, S22 that of the tuner at the load's side: 0.03 dB for 0.35 (test_learn.cpp).
double tuner_loss_from_swr_db(double swr_half, double swr_double);

/// The same with the error of reading: each SWR off by its uncertainty, added in squares.
Uncertain tuner_loss_from_swr_db(const Uncertain& swr_half, const Uncertain& swr_double);

enum class RelayState {
  works,
  no_change,    ///< the reading stays: the relay does not switch, or its part is bypassed for good
  open,         ///< the reading becomes high: an open contact or part
  other_value,  ///< it switches, but the part is not the one stated
};

/// "works", "does not switch", "open", "another value".
std::string_view relay_state_name(RelayState state);

struct RelayReading {
  double expected = 0.0;  ///< H of an inductor in series, F of a capacitor across; > 0
  cdouble z_ohm;          ///< with this relay alone in the other position than in the base reading
};

struct RelayVerdict {
  RelayState state = RelayState::works;
  Uncertain value;  ///< measured, H or F
};

/// Which relays of a bank do what they should, from one reading with all parts out and one with each part in alone.
///
/// A bank of inductors in series is read as impedances, one of capacitors across as admittances. A step below a third
/// of the expected, and within three uncertainties or a tenth of the expected of 0, is no change; |Z| above ten times
/// the expected and more than ten times that of the base is open (inductors); a value further off than tolerance plus
/// uncertainty is another.
/// @param uncertainty_ohm  of each reading's X, >= 0
/// @param tolerance        relative, of the parts, > 0
/// @throws DomainError  outside these, frequency not > 0
std::vector<RelayVerdict> judge_relays(bool capacitors, cdouble base_ohm, const std::vector<RelayReading>& readings,
                                       double frequency_hz, double uncertainty_ohm, double tolerance);

/// Readings of a bank from a table with the columns r_ohm, x_ohm, frequency_hz (or _mhz) and inductance_h or
/// capacitance_f (what the relay switches; empty in the first row, the base reading), and perhaps relay (a name).
struct RelayTable {
  bool capacitors = false;
  double frequency_hz = 0.0;
  cdouble base_ohm;
  std::vector<RelayReading> readings;
  std::vector<std::string> names;  ///< "relay 1" ... where the table has none
};
/// @throws ParseError  as read_table; columns missing, no base row, a value out of range, more than one frequency
RelayTable read_relays(std::string_view text, const std::string& file);

}  // namespace stile::sweep
