#pragma once
// What adapter, cable, choke and calibration did to a measured one-port, undone; each point's uncertainty goes along.
//
// Every correction is a bilinear map of the measured impedance, Z' = (d Z - b) / (a - c Z) with the chain matrix of
// what lies between, so a small error dZ becomes |a d - b c| / |a - c Z|^2 dZ. Where the reflection's error grows by
// more than five the result says so (FindingKind::ill_conditioned).

#include <optional>
#include <vector>

#include <stile/network/ladder.hpp>
#include <stile/network/two_port.hpp>
#include <stile/sweep/judge.hpp>

namespace stile::sweep {

/// Takes away known parts - a line, a choke, a transformer - that lie between instrument and load, in order from the
/// instrument.
/// @throws DomainError  a part lets nothing through, or the far end is an open circuit at a measured point
/// Accuracy: undoes network::input_impedance to 1e-9 where the parts lose less than 20 dB (test_correct.cpp).
OnePort remove_ladder(const OnePort& measured, const network::Ladder& between);

/// A measured adapter: S parameters over frequency, power waves to real references.
struct Adapter {
  std::string name;                  ///< of its file; where its errors are shared, two of one name are one adapter
  std::vector<double> frequency_hz;  ///< strictly increasing, > 0
  std::vector<network::ScatteringMatrix> s;  ///< as many
  std::vector<double>
      uncertainty;            ///< standard deviation of each part of each S parameter; NaN: not known; empty: exact
  double common_error = 0.0;  ///< of it what is the same at all frequencies, of each part of each S parameter
  bool s12_is_s21 = false, s22_is_s11 = false;  ///< taken as the other, not measured: one error for both
  std::vector<Finding> caveats;
};

/// The two-port of a sweep. Where S12 was not measured (FindingKind::one_path) it is S21, as of any reciprocal part.
/// Where S22 was not measured either (0 throughout) it is taken as S11, with a caveat: right for a symmetric adapter
/// alone. The uncertainty of all four is the largest of the instrument's error as stated, the scatter of S11 and its
/// rounding; the instrument's is the same at all frequencies.
/// @param instrument_error  as JudgeOptions
/// @throws Error  the sweep is not of two ports
/// @throws DomainError  instrument_error outside its range; a matrix that has no S
Adapter adapter(const Sweep& sweep, double instrument_error = 0.0);

/// Takes an adapter away: port 1 at the instrument, port 2 at the load. Between its samples each S parameter is
/// interpolated linearly, which keeps a passive two-port passive. The adapter's own error is in the uncertainty, and
/// named where it is more than twice the rest; that of the instrument with which it was measured stands in common_ohm
/// as well, a row each part of each S parameter, independent of the rows of the instrument behind it.
/// @throws DomainError  the adapter has no data at a measured frequency, or lets nothing through there
/// Accuracy: 1e-9 at the adapter's own frequencies; the uncertainty within a tenth of what noise does; of 400 fits
/// behind an adapter whose S parameters are each off by the same at all frequencies 95 +- 3 % hold the truth
/// (test_correct.cpp).
OnePort remove_adapter(const OnePort& measured, const Adapter& adapter);

/// The three standards of an open-short-load correction. Defaults: ideal.
struct Standards {
  double open_capacitance_f = 0.0;  ///< across the open, >= 0
  double short_inductance_h = 0.0;  ///< in series with the short, >= 0
  cdouble match_ohm = 50.0;         ///< real part > 0
  double match_inductance_h = 0.0;  ///< in series, >= 0
};

/// Undoes whatever linear lies between by three sweeps of known standards, taken at the same plane: the first
/// correction of all, since the own errors of adapters and cables removed before would be taken for the instrument's.
/// Between the samples of the standards reflection is interpolated linearly.
///
/// The uncertainty has the measured point's noise and that of the three standards. A stated error of the instrument
/// that is the same in all four sweeps is what the standards take away: it is in the uncertainty no more, nor in
/// common_ohm, but where there are too few points to tell noise from it. Where a standard's reflection bends between
/// its samples by more than its noise, what the straight line misses of a parabola through three of them is in the
/// uncertainty and, being no noise, in common_ohm as one error of all three; where it is most of the uncertainty a
/// caveat says so. The standards' caveats go along, but for what an open and a short are anyway: |S11| near 1, few
/// points at a resonance. An error of the standards themselves is not known.
/// @throws DomainError  a standard has no data at a measured frequency; two standards read the same there; one of the
///                      four sweeps has been corrected before
/// Where the sweep has more points than the standards, the noise of a sample of theirs moves several points alike:
/// local_ohm.
/// Accuracy: 1e-9 for ideal data at equal frequencies; the uncertainty within a tenth of what noise does; of
/// 400 fits behind standards at the sweep's own frequencies, or with three points between two of theirs, 95 +- 3 % hold
/// the truth (test_correct.cpp).
/// Source: Gm = (a G + b) / (c G + 1), three equations linear in a, b, c (error model of
/// one-port calibration: common practice; derived here).
OnePort correct_open_short_load(const OnePort& measured, const OnePort& open, const OnePort& shorted,
                                const OnePort& match, const Standards& standards = {});

/// Moves the plane towards the load by a lossless line of the reference impedance: S11 is turned by 4 pi f delay.
/// @param delay_s  one way; negative moves it back
OnePort extend_port(const OnePort& measured, double delay_s);

/// Points whose reflection against another reference is wanted, in a named definition; impedances do not change by it.
/// @throws DomainError  as network::reflection
std::vector<cdouble> renormalised_reflection(const OnePort& sweep, cdouble z_ref_ohm,
                                             network::WaveDefinition definition);

enum class FarEnd { open, shorted };

/// What one standard deviation of an error that all points of a cable's sweep share has moved its estimate by.
struct LineShift {
  std::string of;          ///< CommonError::of
  std::vector<double> by;  ///< of the logarithms of length, k1 and, where sought, k2
};

/// A cable from a sweep of it with its far end open or shorted.
struct EstimatedLine {
  double delay_s = 0.0;                         ///< one way
  double length_m = 0.0;                        ///< with the velocity factor stated
  double k1_db_at_1mhz = 0.0;                   ///< of the whole piece, one way, conductor part: grows with sqrt(f)
  double k2_db_at_1mhz = 0.0;                   ///< dielectric part: grows with f
  double loss_db_at_10mhz = 0.0;                ///< of the whole piece, matched, one way
  double delay_uncertainty_s = 0.0;             ///< half-width of the 95 % interval
  double loss_uncertainty_db_at_10mhz = 0.0;    ///< likewise, of the sum at 10 MHz
  std::vector<std::vector<double>> covariance;  ///< of the logarithms of length, k1 and, where sought, k2, by chance
  std::vector<LineShift> shared;                ///< beside it: the instrument's stated error
  double residual = 0.0;                        ///< rms distance of S11, to the cable's own impedance, from the line's
  network::Cable cable;                         ///< as a part: with length_m it is the line
  std::vector<Finding> caveats;                 ///< of its sweep, for what it is removed from
};

/// Length and loss of a cable of known impedance: least squares on S11 with the cable's own model (line_from_cable). A
/// dielectric part that the data leave open is 0. Uncertainties as of fit(): from the scatter, widened and said in a
/// caveat where what is left over is no noise, and from the instrument's systematic error.
///
/// @param z0_ohm, velocity_factor  > 0; the velocity factor only turns delay into length and is at most 1
/// @throws DomainError  fewer than 5 points, an angle that turns by more than a quarter turn a step or does not fall,
///                      more than half a wave of line at the lowest frequency, nothing that determines a line
/// Accuracy: 1e-5 of length and loss without noise; with noise the intervals of delay and loss hold the truth in 95 +-
/// 3 % of 400 trials (test_correct.cpp). Model error: a cable whose z0 differs from the stated one shows as residual.
EstimatedLine estimate_line(const OnePort& measured, FarEnd far_end, double z0_ohm, double velocity_factor);

/// Takes an estimated cable away. Its own error is in the uncertainty (of R and X the larger), and named where it is
/// more than twice the rest; it is the same at all points and stands in common_ohm as well. Its caveats go along.
///
/// An error that the cable's sweep and this one share by name - the instrument's, which both were swept with in one
/// calibration - counts once: what it moves a point by and what it moves it by through the cable's estimate are added
/// with their signs, and may cancel or add up. The uncertainty falls or rises with them. Behind standards, which take
/// it away, the cable's part stays.
/// Accuracy: the uncertainty within a tenth of what noise does, and of what an error
/// does that cable and sweep share; of 400 fits behind a cable that was swept with the same error 95 +- 3 % hold the
/// truth (test_correct.cpp).
OnePort remove_line(const OnePort& measured, const EstimatedLine& line);

}  // namespace stile::sweep
