#pragma once
// A load: impedance against frequency, with a name and an origin. It knows nothing of networks.

#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/base/range.hpp>

namespace stile::load {

/// Where the power into the feed goes, as shares of it: each 0..1, sum 1.
struct PowerShares {
  double radiated = 0.0;  ///< reaches the far field
  double metal = 0.0;     ///< heats the conductors
  double ground = 0.0;    ///< heats the ground
  double person = 0.0;    ///< heats who carries the antenna
  double lumps = 0.0;     ///< heats chokes in the wires and leaks over a wet base
  double coils = 0.0;     ///< part of metal: heats loading coils in the wires
};

/// The same impedance at every frequency.
struct ConstantLoad {
  cdouble z_ohm = 50.0;  ///< finite, Re >= 0
};

/// A whip well below its first resonance: Z = R_rad(f) + R_ground + R_metal(f) + j (w L - 1/(w C)).
struct WhipModel {
  double radiation_ohm = 0.0;    ///< >= 0, at radiation_at_hz; scales with f^2 (short antenna over a plane)
  double radiation_at_hz = 0.0;  ///< > 0
  double capacitance_f = 0.0;    ///< > 0
  double inductance_h = 0.0;     ///< >= 0, in series
  double ground_ohm = 0.0;       ///< >= 0, the same at every frequency
  double metal_ohm = 0.0;        ///< >= 0, at metal_at_hz; scales with sqrt(f) (skin effect)
  double metal_at_hz = 0.0;      ///< > 0 when metal_ohm is not 0
};

/// Interpolators of a sampled load, one set a segment; built once, never changed.
struct LoadSegments;

inline constexpr double default_gap_ratio = 1.15;

/// Samples of an impedance. Made by make_sampled_load, which checks them; not to be changed afterwards.
///
/// Between neighbours R and X are interpolated each by a monotone piecewise cubic (pchip; Fritsch and Carlson, SIAM
/// J. Numer. Anal. 17(2), 1980; Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5(2), 1984), and by a straight line
/// in a segment of fewer than four samples. Neither leaves the interval between its two neighbours: R >= 0 at the
/// samples means R >= 0 everywhere, and there are no invented resonances. At a sample the value is the sample's own.
/// Neighbours whose frequencies have a ratio above `widest_gap_ratio` are not joined: there is no data between them.
struct SampledLoad {
  std::vector<double> frequency_hz;         ///< strictly increasing, > 0
  std::vector<cdouble> z_ohm;               ///< finite, Re >= 0
  std::vector<PowerShares> shares;          ///< one a sample, or empty: not known
  std::vector<double> measured_reflection;  ///< |S11| as read from a reflection measurement, or empty
  std::vector<double> path_gain;            ///< one a sample, or empty: see load_path_gain; 0: no path is stated there
  double widest_gap_ratio = default_gap_ratio;
  std::shared_ptr<const LoadSegments> segments;
};

struct Load {
  std::string name;
  std::string origin;  ///< file or source, for people
  std::variant<ConstantLoad, WhipModel, SampledLoad> model;
  std::vector<std::string> reading_warnings;  ///< what was odd in the file it came from
};

/// Checks samples and builds their interpolators.
///
/// @param shares               one a sample or empty; each within 0..1, sum within 1e-9 of 1
/// @param widest_gap_ratio     > 1; inf joins everything
/// @param measured_reflection  |S11| a sample, when the data were read as S; or empty
/// @throws DomainError  no samples, unequal lengths, frequencies not > 0 and strictly increasing, a value that is not
///                      finite, Re(z) < 0, shares out of range, widest_gap_ratio not > 1
SampledLoad make_sampled_load(std::vector<double> frequency_hz, std::vector<cdouble> z_ohm,
                              std::vector<PowerShares> shares = {}, double widest_gap_ratio = default_gap_ratio,
                              std::vector<double> measured_reflection = {});

/// Impedance at one frequency, ohm; Re >= 0, finite.
///
/// A sampled load takes a frequency within 1e-12 of a sample (relative) for that sample, so that rounding of units
/// does not push the last sample out of the data. It never extrapolates.
/// Accuracy: samples are exact; between them see examples/loads and test_load_file.cpp, which asserts what dropping
/// every second sample costs.
/// @throws DomainError  frequency not finite and > 0, outside the data (the message names the ranges), or a model
///                      whose values are out of range
cdouble load_impedance(const Load& load, double frequency_hz);

/// Shares of the power into the feed; nothing when they are not known (constant load, samples without shares, no R).
///
/// Between samples the shares are interpolated like R and scaled to a sum of 1.
/// @throws DomainError  as load_impedance
std::optional<PowerShares> load_shares(const Load& load, double frequency_hz);

/// Mean gain into the elevations of a stated path, as a power ratio: what an isotropic radiator fed with the power into
/// the antenna would have to be multiplied with. Between samples a straight line. Nothing when it is not known.
/// @throws DomainError  as load_impedance
std::optional<double> load_path_gain(const Load& load, double frequency_hz);

/// True when load_impedance has a value there. A frequency that is not finite and > 0 gives false.
bool load_covers(const Load& load, double frequency_hz);

/// The intervals with data, Hz, in rising order; a constant load and a whip model have one, 0 .. inf, of which 0 and
/// inf themselves are not legal.
std::vector<Range> load_ranges(const Load& load);

/// Everything a user should be told about the data: what was odd in the file, and where a reflection measurement
/// (data read as S) has |S11| > 0.98: there 1 - |S11| is of the order of the measurement's own error and R means
/// little. Practice: common; four like short elements measured at |S11| 0.99 read 1.5 to 7 ohm.
std::vector<std::string> load_warnings(const Load& load);

/// Q of the impedance, tuned to resonance by one lossless series reactance:
/// Q = f/(2R) |dR/df + j (dX/df + |X|/f)|; a constant load, which has no slope to speak of, gives |X|/R.
///
/// The slope is a centred difference over 2e-5 of f, one-sided at the end of a segment.
/// Accuracy: 1e-6 relative for a smooth model; for samples as good as the slope of the interpolation, which is first
/// order in the sample distance at the ends of a segment and near extremes of R and X.
/// @throws DomainError  as load_impedance; R = 0 (Q is infinite); a segment of one sample (no slope)
/// Source: Yaghjian and Best, IEEE Trans. Antennas Propag. AP-53(4), 2005, 1298-1324 (formula second-hand; checked
/// on a series RLC circuit).
double load_q(const Load& load, double frequency_hz);

/// dX/df of a load, ohm/Hz: centred difference over 2e-4 of f; 0 where the data end closer than that.
/// @throws DomainError  as load_impedance
double load_reactance_slope_ohm_per_hz(const Load& load, double frequency_hz);

}  // namespace stile::load
