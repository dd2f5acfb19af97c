#pragma once
// The main job: compare arrangements between transmitter and whip over bands and conditions, and decide.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/safety/cautions.hpp>
#include <stile/safety/exposure.hpp>
#include <stile/station/station.hpp>

namespace stile::plan {

/// What a watt is spent on, in the order in which budgets list it.
enum class Spent { radiated, ground, metal, person, lumps, antenna, match, cable, mismatch, held_back };

/// "radiated", "ground", "whip and wire", ...
std::string spent_name(Spent spent);

struct BudgetItem {
  Spent spent = Spent::radiated;
  std::string where;  ///< the part, when it is one: "L1", "cable feeder"
  double power_w = 0.0;
};

/// What to set in a condition: the one prescription of the plan, of a coil's sheet and of whoever stands beside the whip.
struct Setting {
  std::vector<network::Element> elements;    ///< of the match at the design frequency, from transmitter to antenna
  std::optional<double> tap_turns{};         ///< of a switched coil: turns in use; 0: bypassed
  coil::Unused unused = coil::Unused::open;  ///< what becomes of its other turns
  double trimmer_f = 0.0;                    ///< across the turns in use
};

/// One arrangement on one band in one condition.
struct ConditionResult {
  std::string condition;
  bool possible = false;           ///< false: the arrangement cannot be made there; nothing else is set
  network::Ladder ladder;          ///< as set at the design frequency
  network::Evaluation evaluation;  ///< at the design frequency and the power then offered
  Setting setting;
  double offered_w = 0.0;            ///< what the transmitter offers at this SWR
  double swr = 0.0;                  ///< at the design frequency
  double worst_swr = 0.0;            ///< over the part in use; a tuner sets itself anew at each frequency
  double loss_db = 0.0;              ///< transmitter's full power over power into the antenna, at the design frequency
  double worst_loss_db = 0.0;        ///< the same, greatest over the part in use
  Range loss_range_db;               ///< over the part in use, when coil Q and ground are off as far as stated
  std::optional<double> radiated_w;  ///< power into the far field, least over the part in use; unknown without shares
  std::vector<BudgetItem> budget;    ///< where the transmitter's full power goes at the design frequency; sums to it
  std::vector<network::Overload> overloads;  ///< worst over the part in use
  double load_voltage_v_peak = 0.0;          ///< across the antenna's terminals, worst over the part in use
  double swr_high = 0.0;                     ///< worst_swr ...
  double load_voltage_high_v_peak = 0.0;     ///< ... load_voltage_v_peak ...
  std::vector<network::Overload>
      overloads_high;          ///< ... and overloads, when coil Q and ground are off as far as stated
  match::Bandwidth bandwidth;  ///< as set at the design frequency, within the SWR limit
  std::vector<double> frequency_hz, swr_along_band;
};

struct ArrangementResult {
  std::string name;
  station::ArrangementKind kind = station::ArrangementKind::straight;
  bool trimmed = false;                     ///< set anew by hand in each condition
  std::vector<ConditionResult> conditions;  ///< in the station's order
  std::size_t worst = 0;                    ///< the condition with the greatest worst_loss_db
  double worst_swr = 0.0;                   ///< over conditions and band; infinite when it cannot be made
  bool ok = false;                          ///< within the SWR limit and every rating, in every condition, as stated
  bool holds_throughout = false;            ///< the same wherever coil Q and ground may lie
  std::string why;                          ///< the reason in one sentence, whether ok or not
  std::optional<double> radiated_w{};       ///< least of all conditions; unknown when it is in one of them
};

/// What to take on a band.
enum class Choice { not_run, tuner, fixed, undecided, none };

struct BandResult {
  station::Band band;
  std::vector<ArrangementResult> arrangements;  ///< in the station's order
  Choice choice = Choice::not_run;
  std::optional<std::size_t> taken;  ///< the arrangement taken (of an undecided pair the simpler, fixed one)
  std::string verdict;               ///< in plain words, with its reason
};

struct Plan {
  std::vector<BandResult> bands;
  std::vector<std::optional<coil::Winding>> windings;  ///< one an arrangement: of its switched coil, with all its turns
  std::vector<safety::Caution> cautions;
  std::vector<safety::UseExposure>
      exposures;  ///< of each band and arrangement whose antenna is of wires; see exposure.hpp
};

/// Compares all arrangements of a station.
///
/// A tuner takes the state that delivers most within the transmitter's SWR limit (of all states when none is), for
/// every condition and frequency anew: as well as its parts allow; a real one stops at the first SWR it likes. A fixed
/// match is one set of parts a band: of all L networks that match one of the conditions (or their mean) one within the
/// SWR limit, and of these the one whose greatest loss is least; or, trimmed, one set for each condition.
/// A switched coil has its turns, taps and Q from the ring model, dead turns included: its best tap on each band. Rank is by power that reaches
/// the antenna; SWR only has to stay within the limit over the part of the band in use. Where the rank of the best tuner and the
/// best fixed match changes inside the uncertainty of coil Q and ground, or what is best holds as stated but not
/// everywhere in it, the band is undecided. The ground is varied through its share of the load's resistance, so a load
/// without shares is taken as it is.
///
/// @param stated    its loads solved (solve_loads); turns of coils that state none are found (with_turns_found)
/// @param progress  called with a line of text before each arrangement on each band, one call at a time, when given
/// @param threads   0: as many as the machine has; the result does not depend on it
/// @throws DomainError  a load without data inside a band, or still stated as wires
/// Accuracy: arithmetic 1e-9; the model is as good as its inputs (Q 5-15 %, ground 30-50 %: see loss_range_db).
Plan make_plan(const station::Station& stated, const std::function<void(const std::string&)>& progress = {},
               unsigned threads = 0);

/// dB as S units: 6 dB a step (IARU Region 1 Technical Recommendation R.1).
double s_units(double db);

}  // namespace stile::plan
