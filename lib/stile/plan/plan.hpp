#pragma once
// The main job: compare arrangements between transmitter and whip over bands and conditions, and decide.

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/match/one_setting.hpp>
#include <stile/plan/antenna_wind.hpp>
#include <stile/safety/cautions.hpp>
#include <stile/safety/uses.hpp>
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
  Range range_w{};  ///< wherever uncertain inputs lie; of what is set anew nearly so: it goes by steps
};

/// What a part bears wherever uncertain inputs lie; of what is set anew nearly so: it goes by steps.
struct StressRange {
  Range voltage_v_peak, current_a_rms, dissipation_w;
};

/// Which power counts when arrangements are compared on a band.
enum class Counted {
  delivered,  ///< into the antenna: where its power goes is not known of every load; see compared.hpp
  radiated,   ///< into the far field
  path,       ///< into the elevations of the stated path, as an isotropic radiator of that power would give it
};

/// What to set in a condition: the one prescription of the plan, of a coil's sheet and of whoever stands beside the
/// whip.
struct Setting {
  std::vector<network::Element> elements;  ///< of the match at the design frequency, from transmitter to antenna
  std::optional<double> tap_turns{};       ///< of a coil: turns from its start to the antenna; 0: bypassed
  std::optional<double> feed_turns{};      ///< of an autotransformer: turns from its grounded start to the transmitter
  coil::Unused unused = coil::Unused::open;  ///< what becomes of its other turns
  double trimmer_f = 0.0;                    ///< across the turns in use
};

/// One arrangement on one band in one condition.
struct ConditionResult {
  std::string condition;
  station::Role role = station::Role::normal;
  bool possible = false;             ///< false: the arrangement cannot be made; nothing else is set
  Setting setting;                   ///< of a tuner as it sets itself at the design frequency
  network::Ladder ladder;            ///< as set at the design frequency, with cables
  network::Evaluation evaluation;    ///< at the design frequency and the power then offered
  double offered_w = 0.0;            ///< what the transmitter offers at this SWR
  double swr = 0.0;                  ///< at the design frequency
  double worst_swr = 0.0;            ///< over the part in use; a tuner sets itself anew at each frequency
  double loss_db = 0.0;              ///< transmitter's full power over power into the antenna, at the design frequency
  double worst_loss_db = 0.0;        ///< the same, greatest over the part in use
  Range loss_range_db;               ///< over the part in use, wherever uncertain inputs lie
  double counted_db = 0.0;           ///< full power over the power that counts, greatest over the part in use
  Range counted_range_db;            ///< the same wherever uncertain inputs lie
  std::optional<double> radiated_w;  ///< power into the far field, least over the part in use; unknown without shares
  std::optional<Range> radiated_range_db{}, path_range_db{};  ///< dB of both below the full power, wherever inputs lie
  std::optional<double> path_w;    ///< mean into the path as of an isotropic radiator, least; unknown without a pattern
  std::vector<BudgetItem> budget;  ///< where the transmitter's full power goes at the design frequency; sums to it
  std::vector<StressRange> stress_ranges;         ///< at the design frequency, of each of the ladder's elements
  std::vector<network::Overload> overloads;       ///< worst over the part in use
  double load_voltage_v_peak = 0.0;               ///< across the antenna's terminals, worst over the part in use
  Range swr_range;                                ///< worst_swr wherever inputs lie; of what is set anew as tried
  double load_voltage_high_v_peak = 0.0;          ///< ... load_voltage_v_peak ...
  std::vector<network::Overload> overloads_high;  ///< ... and overloads, wherever uncertain inputs lie
  match::Bandwidth bandwidth;                     ///< as set at the design frequency, within the SWR limit
  std::vector<double> frequency_hz, swr_along_band;
};

/// Which of the elements is the wound coil: of parts in series the last. None where it is bypassed or there is none; of
/// an autotransformer the first.
std::optional<std::size_t> coil_element(const Setting& setting);

/// From transmitter to antenna in words: cables and parts; of an autotransformer where it is fed and tapped.
std::string describe(const ConditionResult& condition);

/// By how much an arrangement loses more than another, in the worst normal condition of each.
struct Difference {
  double db = 0.0;  ///< of counted_db; infinite of what cannot be made
  Range range_db;   ///< wherever uncertain inputs lie: ground, lengths, contact of a hand and temperature the same for
                    ///< both, Q and contacts each its own. Not the difference of two ranges, which is wider
};

struct ArrangementResult {
  std::string name;
  std::string antenna;
  station::ArrangementKind kind = station::ArrangementKind::straight;
  station::Trim trim = station::Trim::once;  ///< what a hand moves between conditions
  int hands = 0;                             ///< things a hand moves between conditions
  std::optional<double> mass_kg{};           ///< with the antenna's, when both are stated (or there is one antenna)
  bool needs_supply = false;
  std::vector<ConditionResult> conditions;  ///< in the station's order
  std::size_t worst = 0;                ///< the normal condition with the greatest counted_db, the first within 1e-6 dB
  double worst_swr = 0.0;               ///< over normal conditions and band; infinite when it cannot be made
  Range swr_range;                      ///< of worst_swr, as counted_range_db
  double counted_db = 0.0;              ///< of the worst condition: the rank; infinite when it cannot be made
  Range counted_range_db;               ///< of the worst of all conditions, wherever uncertain inputs lie
  bool ok = false;                      ///< within the SWR limit and every rating, in every normal condition, as stated
  bool holds_throughout = false;        ///< the same wherever uncertain inputs may lie
  std::string why;                      ///< the reason in one sentence, whether ok or not
  std::optional<double> radiated_w{};   ///< least of all normal conditions; unknown when it is in one of them
  std::optional<double> path_w{};       ///< the same of path_w
  std::optional<double> radiated_db{};  ///< transmitter's full power over radiated_w
  std::optional<double> path_db{};      ///< transmitter's full power over path_w
  std::optional<Range> radiated_range_db{}, path_range_db{};  ///< of the worst of all conditions, as counted_range_db
  Difference against_best{};                  ///< more than the least loss of all that it may be compared with
  std::optional<Difference> against_taken{};  ///< more than what is taken of these; nothing where nothing is
  std::optional<match::Proof> proof{};        ///< of the settings, where they were searched
  std::optional<double> untouched{};  ///< share of the time that one setting holds, the best one; of a tuner set as
                                      ///< well as its parts allow; unknown without shares
  std::optional<double> untouched_by_itself{};  ///< of a tuner: the same where its own search (own_search.hpp) can tune
                                                ///< too and ends within the limit at the design frequency; nothing of
                                                ///< anything else
  std::optional<double> resets_per_hour{};      ///< of a hand while walking; unknown without shares and mean stays
  std::vector<std::string> accidents;           ///< what happens in each, in one sentence
};

/// What to take on a band.
enum class Choice { not_run, tuner, fixed, undecided, none };

/// Something to measure.
struct Measure {
  std::string what;
  double settles = 0.0;  ///< share of its possible outcomes that would decide, 0..1
};

struct BandResult {
  station::Band band;
  Counted counted = Counted::delivered;
  std::vector<ArrangementResult> arrangements;  ///< in the station's order
  Choice choice = Choice::not_run;
  std::optional<std::size_t> taken;  ///< the arrangement taken; of an undecided band the one that is better as stated
  std::vector<std::size_t>
      apart;            ///< of antennas that cannot be compared, where several hold: what to take on each. `taken`
                        ///< is then the first of these that holds throughout, or the first: no better one
  std::string verdict;  ///< in plain words, with its reason
  std::vector<Measure> measures;  ///< of an undecided band: what settles most first
  std::vector<std::string>
      turns;  ///< of an undecided band: at which ground or contact the verdict turns, a sentence each
};

struct Plan {
  std::vector<BandResult> bands;
  std::vector<std::optional<coil::Winding>> windings;  ///< one an arrangement: of its switched coil, with all its turns
  std::vector<safety::Caution> cautions;
  std::vector<safety::UseExposure>
      exposures;  ///< of each band and arrangement whose antenna is of wires; see exposure.hpp
  std::vector<safety::AntennaWind> winds{};  ///< of each antenna of wires that is carried
};

/// Compares all arrangements of a station.
///
/// A tuner takes the state that delivers most within the transmitter's SWR limit (of all states when none is), for
/// every condition and frequency anew: as well as its parts allow; a real one stops at the first SWR it likes. A fixed
/// match is one set of parts a band, the best compromise over the normal conditions (match::find_one_setting at both
/// ends of the part in use, the design frequency and the middles between); what a hand trims is set anew in each
/// condition, among the positions of its tap and trimmer, and everything else stays. Stated settings are judged as they
/// are. A switched coil has its turns, taps and Q from the ring model, dead turns included.
///
/// Rank is by the power that counts (see Counted) in the worst normal condition; SWR only has to stay within the limit
/// over the part of the band in use. What holds throughout beats what holds only as stated. What lies within the
/// station's audible difference of the best is as good; of these fewer hands decide, then less mass, then no supply.
/// Where another arrangement would be better by more than that somewhere in the uncertainty, or nothing holds but as
/// stated, the band is undecided, with what to measure. What is as good as stated counts so along the whole range of a
/// contact or of the ground alone, everything else as stated: at 9 and 5 values at least, and where a step between
/// neighbours would carry something over between values, there too (halved up to nine times; what has no least or
/// greatest value beside it and fits between two values is not seen). Accidents are reported and decide nothing.
///
/// Uncertain inputs are taken at the corners of their ranges, the middles of their sides and between (24 draws, always
/// the same ones); a tuner, and what a hand moves, are set anew there, and their bands are 8 % wider at both ends for
/// the steps between. Of random draws 99.5 % lie inside the bands and none outside by more than 5 % of a band's width;
/// of the SWR 99 %, and nothing is promised of that of what is set anew, which jumps from step to step: its band is
/// what was tried. The ground is varied through its share of the load's resistance, so a load without shares is taken
/// as it is.
///
/// @param stated    its loads solved (solve_loads); turns of coils that state none are found (with_turns_found)
/// @param progress  called with a line of text before each arrangement on each band, one call at a time, when given
/// @param threads   0: as many as the machine has; the result does not depend on it
/// @param exposure  false: no fields at people and no wind (Plan::exposures and winds stay empty), which take half of
///                  the time; nothing else depends on them but the cautions' words
/// @throws DomainError  a load without data inside a band, or still stated as wires; a band whose part in use does not
///                      lie within it, or whose design frequency does not lie within that
/// Accuracy: arithmetic 1e-9; the model is as good as its inputs (Q 5-15 %, ground 30-50 %: see loss_range_db).
Plan make_plan(const station::Station& stated, const std::function<void(const std::string&)>& progress = {},
               unsigned threads = 0, bool exposure = true);

/// Wound coils that were computed, for plans of stations with the same coils and bands on other antennas. May serve
/// several plans at once; no result depends on it.
class WoundCoils;
std::shared_ptr<WoundCoils> wound_coils();

struct AsStated {
  bool few_points = false;  ///< judge each band at the frequencies alone at which settings are searched
  bool swr_counts = true;   ///< false: settings are searched as if the SWR had no limit; `ok` stays by the limit
  std::shared_ptr<WoundCoils> coils{};  ///< of former plans; nothing: computed for this one alone
  bool bounds = true;  ///< false: of what a hand moves no bound is sought, which takes longer than the settings;
                       ///< `proof` then says nothing of what was not tried
};

/// The same with every input as stated: its figures are those of make_plan, without what uncertainty adds to them
/// (ranges have no width, what holds holds throughout) and without exposures.
Plan plan_as_stated(station::Station station, const AsStated& how = {}, unsigned threads = 0);

/// A power in dB below a full one; infinite when it is 0. Both >= 0 W.
double db_below(double full_w, double power_w);

/// The power that lies so many dB below a full one; 0 where they are infinite.
double power_below(double full_w, double db);

/// dB as S units: 6 dB a step (IARU Region 1 Technical Recommendation R.1).
double s_units(double db);

}  // namespace stile::plan
