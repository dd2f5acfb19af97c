#pragma once
// Element values that match a load, with the losses of the parts inside the solution.

#include <string>
#include <vector>

#include <stile/load/load.hpp>
#include <stile/network/ladder.hpp>

namespace stile::match {

enum class PartKind { inductor, capacitor };

/// Three ways to arrange a match. L has two parts, or fewer where fewer do, and no freedom; pi (shunt, series, shunt)
/// and T (series, shunt, series) have a third part and so one free choice.
enum class Form { l, pi_network, t };

/// How the free choice of a pi or T is made.
enum class Freedom {
  least_loss,  ///< the member of least dissipation within the limits of the parts; ties by the lower loaded Q (which
               ///< counts as 1e-9 dB for each unit)
  loaded_q,    ///< every member whose loaded Q (see Column) has the stated value
  end_q,       ///< every member whose part at the transmitter's end has reactance (pi: susceptance) Q times the
               ///< resistance (conductance) wanted there: the Q from which handbooks start
  phase,       ///< every member in which the load's current leads the source's voltage by the stated angle
};

/// Parts that may be used.
struct PartStock {
  network::Loss inductor_loss{};
  network::Loss capacitor_loss{};
  double inductor_self_capacitance_f = 0.0;
  double least_inductance_h = 10e-9, most_inductance_h = 200e-6;  ///< limits for pi and T, common practice at HF
  double least_capacitance_f = 2e-12, most_capacitance_f = 20e-9;
};

struct MatchRequest {
  Form form = Form::l;
  double frequency_hz = 0.0;  ///< > 0
  network::Source source{};   ///< the input is made the conjugate of its impedance
  load::Load load;
  PartStock stock{};
  Freedom freedom = Freedom::least_loss;
  double freedom_value = 0.0;  ///< Q > 0, or degrees; unused for least_loss
  double swr_limit = 2.0;      ///< > 1, for the bandwidth
};

/// Band within which the SWR at the transmitter stays under a limit, around one frequency.
struct Bandwidth {
  double low_hz = 0.0, high_hz = 0.0;
  bool low_is_data_edge = false,
       high_is_data_edge = false;  ///< the load's data, or the model of a part, end before the limit is met
  double width_hz() const { return high_hz - low_hz; }
};

enum class MatchStatus {
  not_run,
  matched,
  at_limit,  ///< matched; the least loss lies at a part's limit (a wider limit would lose less, or lower the loaded Q)
};

struct MatchSolution {
  MatchStatus status = MatchStatus::not_run;
  Form form = Form::l;
  network::Ladder ladder;
  network::Evaluation evaluation;  ///< at the design frequency and the source's power
  double end_q = 0.0;              ///< see Freedom::end_q; of an L, of the part at the transmitter's end (0: none)
  double phase_deg = 0.0;          ///< see Freedom::phase, -180..180
  Bandwidth bandwidth;
  std::vector<double> swr_at_one_percent;  ///< for each element, the worse SWR when its value is 1 % off
};

/// Every solution of the stated form: all kinds of parts in all places, low-pass and high-pass, both orientations. An
/// L form also gives the straight connection (an empty ladder) and a single part in series or shunt where these match
/// to |reflection| <= 1e-9, and then leaves out two parts of which one would do nothing.
///
/// Coil and capacitor losses are part of the equations. With the impedance of a part written as z0 + zeta t
/// (t = reactance > 0), the input impedance is a Moebius function of t and a match is a root of a real quadratic;
/// pi and T add one dimension that is scanned (400 steps over the stock's range) and refined.
///
/// @return  sorted by dissipation, least first, then by loaded Q, then by total inductance; empty when nothing matches
///          (each load with Re > 0 has an L match when parts are lossless; losses can exclude it)
/// @throws DomainError  a value outside its stated range, or a load without data at the frequency
/// Accuracy: |reflection| of every solution <= 1e-9 (asserted); element values of the published examples to 1e-9.
/// A pi or T member narrower than a scan step can be missed.
std::vector<MatchSolution> solve_match(const MatchRequest& request);

/// @param ladder         evaluated with `source` and `load`
/// @param frequency_hz   where the band is measured from
/// @param swr_limit      > 1
/// @return  both ends equal to frequency_hz when the SWR is over the limit there; searched over 0.2 .. 5 times the
///          frequency, as far as load and ladder are defined; the first crossing on each side counts
/// @throws DomainError  a value outside its range, or load or ladder not defined at frequency_hz
/// Accuracy: 1e-9 of the frequency.
Bandwidth swr_bandwidth(const network::Ladder& ladder, const network::Source& source, const load::Load& load,
                        double frequency_hz, double swr_limit);

/// "series inductor 1.2 uH, shunt capacitor 300 pF", from transmitter to load.
std::string describe(const network::Ladder& ladder);

}  // namespace stile::match
