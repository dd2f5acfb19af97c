#pragma once
// A coil with a tap for every band: turns, tap places, what to do with the unused turns, and the step from the
// remaining resistance to the transmitter's impedance.

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/coil/analysis.hpp>

namespace stile::coil {

/// What the coil has to do on one band. The coil stands in series between the transmitter (turn 0) and the load (tap).
struct BandTarget {
  std::string name;
  double frequency_hz = 0.0;
  cdouble load_ohm{};  ///< of the whip at the coil's far end, real part >= 0; its capacitive reactance is
                       ///< the target. For a given target X without a load: {0, -X}
  double load_slope_ohm_per_hz = 0.0;  ///< dX/df of the load, for the bandwidth; 0: that of a capacitance, -X/f
  double whip_slope_ohm_per_m = 0.0;   ///< dX/dlength of the whip, for the length trim; 0: not stated
};

struct DesignRequest {
  Winding winding;                    ///< one section; its turns are replaced by the number found ...
  bool turns_stated = false;          ///< ... or kept
  std::vector<BandTarget> bands;      ///< not empty
  double tap_step_turns = 1.0;        ///< 1, 0.5 or 0.25
  double most_turns = 150.0;          ///< limit of the search
  double switch_ohm = 0.0;            ///< of the switch that ties unused turns, >= 0
  double contact_ohm = 0.0;           ///< in series with the coil (band switch, clip, joints), >= 0
  double lead_inductance_h = 0.0;     ///< in series with the coil, >= 0
  double transmitter_ohm = 50.0;      ///< > 0
  double shunt_coil_q = 200.0;        ///< of a coil across the base, > 0
  double shunt_capacitor_q = 1000.0;  ///< of a capacitor across the base, > 0
  /// What can be bought or wound beside the coil, 0 <= low <= high; nothing outside is proposed. Default: everything.
  Range capacitance_f{0.0, std::numeric_limits<double>::infinity()};
  Range inductance_h{0.0, std::numeric_limits<double>::infinity()};
};

/// The tap nearest to resonance with the unused turns treated in one way.
struct TapChoice {
  Unused unused = Unused::open;
  double turns = 0.0;           ///< from the transmitter's end
  cdouble input_ohm{};          ///< at the base, load, contacts and leads included
  double residual_ohm = 0.0;    ///< Im(input): left over by the tap step
  double coil_ohm = 0.0;        ///< winding, passive turns, former and switches, referred to the base
  double efficiency = 0.0;      ///< power in the load over power in, trim left out
  double load_current_a = 0.0;  ///< size of the load's current for 1 A into the base
  Range efficiency_practice;    ///< with the coil's loss 15 % and 5 % higher
  double series_trim_f = 0.0;   ///< capacitor in series at the base that removes a residual > 0; 0: none needed, or
                                ///< none that can be had does
  double shunt_trim_f = 0.0;    ///< capacitor from base to tap (across the coil) that removes a residual < 0; 0: none
                              ///< needed, or none of 0.1 pF to 10 nF that can be had does (where more than half of the
                              ///< resistance is left the band warns, with the range that was tried)
  double whip_trim_m = 0.0;  ///< change of whip length that removes the residual; 0 when the slope is not stated
  bool reached = false;      ///< the residual passes zero within the taps (and not through infinity)
};

/// Loss of a tap, dB: power in over power in the load; infinite where nothing arrives.
double tap_loss_db(const TapChoice& choice);

/// The same with the coil's loss 5 % and 15 % higher, from the lower to the higher.
Range tap_loss_db_practice(const TapChoice& choice);

/// Ways from what is left to the transmitter's impedance.
enum class StepKind { none, shunt_coil, shunt_capacitor, autotransformer };
std::string step_name(StepKind kind);

struct ResistanceStep {
  StepKind kind = StepKind::none;
  Unused unused = Unused::open;
  double turns = 0.0;          ///< where the load is connected
  double feed_turns = 0.0;     ///< autotransformer: where the transmitter is connected, below the load's tap; turn
                               ///< 0 is grounded
  double inductance_h = 0.0;   ///< shunt coil
  double capacitance_f = 0.0;  ///< shunt capacitor
  cdouble input_ohm{};
  double swr = 0.0;
  double loss_db = 0.0;       ///< power in over power in the load: coil, contacts, step; 0 for a load without
                              ///< resistance
  Range loss_db_practice;     ///< with the coil's loss 5 % and 15 % higher
  double bandwidth_hz = 0.0;  ///< within SWR 2; 0 when even the band's frequency is outside
  bool possible = false;
};

struct BandDesign {
  BandTarget target;
  TapChoice open, shorted;
  Unused better = Unused::open;  ///< the one with the higher efficiency among those that reach resonance
  bool undecided = false;        ///< both reach it and their losses differ by less than practice adds to either (10 %)
  CoilPoint coil;                ///< of the better choice, transmitter's end grounded
  std::vector<ResistanceStep> steps;  ///< one of each kind, for the better treatment of unused turns
  std::vector<std::string> warnings;
  std::string residual_warning;  ///< the one of them that says what residual_ohm and the trims say too; empty: none
  const TapChoice& chosen() const { return better == Unused::open ? open : shorted; }
};

/// The step within an SWR limit that loses least; of none within it the one of lowest SWR; `only` that kind, if one is
/// given and possible. The first of the band's steps when nothing is possible.
const ResistanceStep& best_step(const BandDesign& band, double swr_limit, const std::optional<StepKind>& only = {});

enum class DesignStatus { not_run, found, too_few_turns };

struct CoilDesign {
  DesignStatus status = DesignStatus::not_run;
  Winding winding;                ///< with the turns found
  std::vector<BandDesign> bands;  ///< in the order asked for
  double worst_loss_db = 0.0;     ///< of the chosen taps, largest of the bands
};

/// @throws DomainError  a value outside its range, a winding that cannot be wound
/// Accuracy: that of analyse(); taps are the best of all whole, half or quarter turns by computing each. Bandwidth:
/// coil and load linear in frequency across it (3 % at 5 % bandwidth). In practice trim the whip or the tap on the air.
CoilDesign design_coil(const DesignRequest& request);

/// Choices for a search; each list not empty.
struct DesignSpace {
  std::vector<double> former_diameter_m;  ///< outside of the former
  std::vector<double> wire_diameter_m;
  std::vector<double> wire_over_pitch;  ///< 0 to 0.95
  double longest_m = 0.0;               ///< winding length, > 0
  double heaviest_kg = 0.0;             ///< metal, > 0
};

struct DesignSearch {
  DesignStatus status = DesignStatus::not_run;
  CoilDesign best;             ///< least worst_loss_db within the limits
  int tried = 0, refused = 0;  ///< refused: too long, too heavy, too few turns or not windable
};

/// Every combination of the space.
DesignSearch search_design(const DesignRequest& request, const DesignSpace& space);

}  // namespace stile::coil
