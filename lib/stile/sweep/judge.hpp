#pragma once
// What a measured sweep is worth: findings, which points serve, and the one-port that goes on from here.

#include <optional>
#include <string>
#include <vector>

#include <stile/load/load.hpp>
#include <stile/network/two_port.hpp>
#include <stile/sweep/measured_sweep.hpp>

namespace stile::sweep {

/// What becomes of points with |S11| > 1, where a passive load would give more power than it gets.
enum class AboveOne {
  cut,    ///< left out, and listed
  keep,   ///< kept with their negative resistance, and marked
  scale,  ///< the whole sweep is divided by 1 + reference_error; what is still above 1 is cut
};

struct JudgeOptions {
  AboveOne above_one = AboveOne::cut;
  double reference_error = 0.0;  ///< of |S11|, relative: a stated error of the calibration's reference; 0..0.5
  double instrument_error =
      0.0;                 ///< of S11, absolute, standard deviation of each part, 0..0.5; 0: from the scatter alone
  bool keep_open = false;  ///< S11 = 1 becomes 1e12 reference_ohm instead of being cut: for standards of a correction
  std::optional<double> reference_ohm;              ///< what the user says the sweep refers to; compared with the file
  std::optional<double> band_low_hz, band_high_hz;  ///< points outside are left out without a finding
};

/// An error that is the same at all points of a sweep.
struct CommonError {
  /// Whose and which: an error of the same name is the same error, in this sweep and in others. Adapters and cables
  /// have the names of their files in it; all of an instrument's are taken as one instrument's, independent of those of
  /// adapters and cables.
  std::string of;
  std::vector<cdouble> ohm;  ///< what one standard deviation of it moves every point by
};

/// An error that moves some points next to each other: what one standard deviation of it, in phase, moves each by, from
/// the point `first` on. In quadrature the same times j.
struct LocalError {
  std::size_t first = 0;
  std::vector<cdouble> ohm;
};

/// A measured impedance over frequency with what is known of its error. Not made passive: see `marked`.
struct OnePort {
  std::string name;
  double reference_ohm = 50.0;          ///< of the reflection it was measured as, > 0
  std::vector<double> frequency_hz;     ///< strictly increasing, > 0
  std::vector<cdouble> z_ohm;           ///< finite; real part below 0 where marked
  std::vector<double> uncertainty_ohm;  ///< standard deviation of each part, >= 0; NaN: not known
  std::vector<bool> marked;             ///< kept although |S11| > 1
  /// Of it what differs from point to point by chance, the scatter of neighbours and rounding; NaN: not known; empty:
  /// all of it.
  std::vector<double> noise_ohm;
  /// Errors that are the same at all points, no two of one name: from the instrument's stated error the six of its
  /// directivity, tracking and match, in phase and in quadrature; from an adapter (remove_adapter) and an estimated
  /// cable (remove_line) their own. Empty: none is known.
  std::vector<CommonError> common_ohm;
  /// Noise of single readings of what corrected the sweep, where one moves several points; in uncertainty_ohm already.
  /// Empty: none does.
  std::vector<LocalError> local_ohm;
  bool corrected = false;        ///< something between instrument and load has been undone
  std::vector<Finding> caveats;  ///< go with every later result
};

struct Judgement {
  std::vector<Finding> findings;  ///< those of reading included, in the order of FindingKind
  /// Standard deviation of each part of S11, from the scatter of neighbours; empty below 9 points.
  std::optional<double> random_error;
  std::vector<std::size_t> cut;         ///< lines of the points that are left out
  std::vector<std::size_t> cut_points;  ///< as many: their indices in the sweep
  std::vector<std::string> usable_for;  ///< "resistance", "reactance", "SWR", "two-port loss" ...
  bool usable = false;                  ///< at least one of these can be used
};

/// Findings of a sweep. One-ports are judged whole. Of more ports S11 is judged so, since it alone goes on; of the
/// others what shows whether they were measured: reflections above 1, more power out than in, S_ij that is not S_ji,
/// and of two ports columns that are 0 or repeat others.
///
/// How each is found:
///   high reflection   |S11| > 0.98: 1 - |S11| is of the order of a pocket instrument's own error (common practice)
///   noise floor       median of the fourth differences of S11 over 1.1774 sqrt(70), the value for white noise
///   (derived);
///                     curvature of a coarse sweep raises it. Stated where it leaves R uncertain by more than a tenth
///   jump              a step off the mean slope of its two neighbours by more than six times what the steps three and
///   four away
///                     are, and by more than 20 random errors and 0.01
///   folded reactance  X never negative, with a corner at 0 from which both sides rise alike
///   few points        fewer than 4 points within the half-power width f/Q of a series or parallel resonance, where the
///   points
///                     beside it leave R (parallel: G) known to a half: otherwise the width is not known either. Where
///                     |S11| at the resonance is above 0.98, only with an error that is known, and not of a cable
///   cable             the angle falls from first point to last by more than 1.1 turns, where one resonance of its own
///   makes
///                     one turn at most, within a factor of 3 in frequency or within 3 % of it (rms) evenly; or, where
///                     the last frequency is at least 3 times the first, by more than 0.2 turns within 1 % of that
///                     evenly. A shorter cable over a narrow band looks like a resonance and is not told
///   calibration plane the angle rises over the sweep by more than 5 degrees and 10 random errors, within a tenth of
///   that (rms)
///                     evenly, |S11| above 0.5
///   causality         a stretch of |S11| > 0.9 in which it rises so by more than 5 degrees and 10 random errors
///   not reciprocal    S_ij and S_ji differ by more than 0.02 and 10 random errors somewhere: one finding for each pair
///   of ports one path          S12, or of three ports and more one way of such a pair, is below 1e-8 throughout: not
///   measured repeated columns  S22 is S11 and S12 is S21, the median difference below 0.02 rounding          half a
///   step of the last digit (median of the points) above 1 % of the median |R|, or above 5e-4 in S11
/// @throws DomainError  an option outside its range; a matrix that has no S
Judgement judge(const Sweep& sweep, const JudgeOptions& options = {});

/// The points that serve, as impedances. Of more ports it is what port 1 shows with the others closed by their
/// references.
///
/// uncertainty: |Z + R0|^2 / (2 R0) times the larger of instrument_error and random_error, or what rounding does to Z
/// at that point (half a step over sqrt 3, the standard deviation of an even spread), whichever is more. Rounding is
/// known of the files whose numbers have no exponent, of S and of one-ports. NaN where none of the three is known.
/// noise_ohm: the same without instrument_error, where there are points enough for a random_error.
/// @throws Error        the sweep is of magnitudes alone, or nothing is usable; the message says why
/// @throws DomainError  as judge
OnePort one_port(const Sweep& sweep, const JudgeOptions& options, const Judgement& judgement);

/// S of a point of any number of ports, row by row; power waves to the file's references. @throws DomainError  it has
/// no S
std::vector<cdouble> scattering_of(const Sweep& sweep, std::size_t point);

/// A point of a two-port as S, power waves to the file's references. @throws DomainError  not two ports, or it has no S
network::ScatteringMatrix scattering(const Sweep& sweep, std::size_t point);

/// S11 of a point. @throws DomainError  the point's matrix has no S
cdouble reflection_at(const Sweep& sweep, std::size_t point);

/// The sweep as a load for what follows, interpolated so that R is never negative (load::SampledLoad's monotone cubic
/// stays between its neighbours); its caveats become reading warnings. Marked points are left out, with a warning: a
/// load has R >= 0.
/// @throws DomainError  no point is left
load::Load to_load(const OnePort& sweep, double widest_gap_ratio = load::default_gap_ratio);

}  // namespace stile::sweep
