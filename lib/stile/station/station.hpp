#pragma once
// The station file: everything a user states, validated, with the place of each value for messages.

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/coil/analysis.hpp>
#include <stile/energy/operating.hpp>
#include <stile/load/load.hpp>
#include <stile/match/part_steps.hpp>
#include <stile/network/foldback.hpp>
#include <stile/safety/body_facts.hpp>
#include <stile/safety/duty.hpp>
#include <stile/safety/levels.hpp>
#include <stile/safety/wind.hpp>
#include <stile/station/arrangement_kind.hpp>
#include <stile/tuner/tuner.hpp>
#include <stile/wire/geometry.hpp>
#include <stile/wire/ground.hpp>

namespace stile::station {

using network::FoldbackPoint;

struct Transmitter {
  network::Source source{};             ///< power key down, impedance
  double swr_limit = 2.0;               ///< the SWR it is stated to stand
  std::vector<FoldbackPoint> foldback;  ///< rising SWR, falling power, the first at full power; empty: none
};

/// Power that the transmitter offers at an SWR. @return  <= its full power
double power_at_swr(const Transmitter& transmitter, double swr);

/// Where the other station is: the elevations at which this one's power must leave.
struct Path {
  Range elevation_deg;               ///< 0..90, low below high
  std::optional<double> distance_m;  ///< when they follow from it by one hop over layer_height_m
  Range layer_height_m;              ///< of the reflecting layer over a day
};

struct Band {
  std::string name;
  double low_hz = 0.0, high_hz = 0.0;
  double use_low_hz = 0.0, use_high_hz = 0.0;  ///< the part that is used: limits and ratings must hold there
  double design_hz = 0.0;                      ///< within it; where a match is designed and a budget is drawn up
  std::optional<Path> path{};                  ///< nothing: all that leaves counts
};

/// An antenna of wires in one condition, as a load states it: its geometry is checked, nothing is solved.
struct StatedWires {
  wire::Antenna antenna;
  wire::Ground ground;
  std::string origin;    ///< of the load that it becomes: "computed from wires of whip.toml, condition \"lifted\""
  Where where;           ///< where the file states it
  bool carried = false;  ///< set and person are in it
  std::optional<std::size_t> hand = {};  ///< index of the lump that is a hand's contact
};

/// What an arrangement has to do in a condition.
enum class Role {
  normal,    ///< it must hold
  accident,  ///< what happens is reported: a wire torn off, the whip against a fence
};

/// A state of the ground, the wire, the hand: the same for every antenna.
struct Condition {
  std::string name;
  Role role = Role::normal;
  std::optional<double> share{};    ///< of the time, > 0, as stated: only their ratios count
  std::optional<double> lasts_s{};  ///< mean stay, > 0
};

/// An antenna in one condition.
struct AntennaLoad {
  load::Load load;                           ///< of wires: without data until solve_loads
  std::optional<StatedWires> wires{};        ///< set while the load is stated as wires and not solved
  std::optional<StatedWires> solved_from{};  ///< those wires, once they are solved: for currents and fields
  std::optional<Range> contact_ohm{};  ///< of a hand whose contact is a range: hand and arm; the load is its middle's
  std::vector<AntennaLoad> ends{};     ///< then the same at the least and at the most of it
  double lying_wire_m = 0.0;  ///< of a load that is not of wires, as stated: the longest wire that lies; 0: none
};

struct Antenna {
  std::string name;                    ///< empty: that of the top-level [[load]]
  std::optional<double> mass_kg;       ///< > 0
  std::vector<AntennaLoad> loads;      ///< one a condition, in the station's order
  bool stated = true;                  ///< false: with another whip, for an arrangement
  std::optional<safety::Pole> pole{};  ///< that carries it, of [[wind.pole]]
  std::optional<double> volume_m3{};   ///< > 0, of the box that it is carried in
};

/// A cable with its length, as an arrangement uses it.
struct NamedCable {
  std::string name;  ///< the user's name for it
  network::TransmissionLine line;
};

/// Parts of which fixed matches are made.
using Parts = match::PartSteps;

/// What a hand moves between conditions on one band.
enum class Trim { once, tap, trimmer, tap_and_trimmer };

/// "once", "tap", "trimmer", "tap and trimmer".
std::string_view trim_name(Trim trim);

/// A setting that the file states: it is judged as it is.
struct StatedSetting {
  std::string band;
  std::string condition;                   ///< empty: in every one without its own
  std::vector<network::Element> elements;  ///< of the match, from transmitter to load
};

/// Where a switched coil is tapped on a band, as the file states it.
struct StatedTap {
  std::string band;
  double turns = 0.0;                  ///< from the transmitter's end; 0: the coil is bypassed
  std::optional<coil::Unused> unused;  ///< nothing: the better of the two, computed
  std::optional<double> feed_turns{};  ///< of an autotransformer, > 0: where the transmitter is; nothing: computed
};

/// A coil in series at the whip, wound from stated wire and tapped for every band.
struct SwitchedCoil {
  std::string name;
  coil::Winding winding;  ///< one section; its turns are those below, or found; see wound()
  std::optional<double>
      former_wall_m;            ///< of a tube, 0: a rod; the former's field share is computed from it. Nothing: stated
  double turns = 0.0;           ///< 0: as many as the band that needs most takes
  double tap_step_turns = 1.0;  ///< taps at whole, half or quarter turns: 1, 0.5, 0.25
  std::optional<coil::Unused>
      unused;                      ///< what the switch does with the rest; nothing: the better, computed on each band
  std::vector<StatedTap> taps;     ///< bands without one are designed
  double contact_ohm = 0.0;        ///< in series with the coil, >= 0
  double switch_ohm = 0.0;         ///< of the switch that shorts unused turns, >= 0
  double lead_inductance_h = 0.0;  ///< in series with the coil, >= 0
  double trimmer_f = 0.0;          ///< most of a variable capacitor across the turns in use; 0: there is none
  bool shunt_coil = true, shunt_capacitor = true;  ///< what may stand across the transmitter's side, one a band
  network::Rating rating{};                        ///< of the turns in use
};

/// A transformer between transmitter's and antenna's side.
struct StatedTransformer {
  double turns_ratio = 1.0;                  ///< turns on the transmitter's side over turns on the antenna's, > 0
  double leakage_h = 0.0;                    ///< on the transmitter's side, >= 0
  double magnetising_h = network::infinite;  ///< likewise, > 0
  double q = network::infinite;              ///< of the magnetising inductance: the core's loss, > 0
};

/// Something that is carried for an arrangement, as the file states it.
struct StatedPart {
  std::string name;
  int count = 1;                      ///< >= 1
  double mass_kg = 0.0;               ///< of one, > 0
  std::optional<double> volume_m3{};  ///< of the box that holds one: the product of the three sizes stated
};

/// A whip that an arrangement changes.
struct WhipChange {
  double longer_m = 0.0;               ///< below 0: shorter
  std::optional<SwitchedCoil> coil{};  ///< part-way up it, all its turns in use
  double distance_m = 0.0;             ///< from the feed to the coil's centre
};

struct Arrangement {
  std::string name;
  ArrangementKind kind = ArrangementKind::straight;
  std::optional<NamedCable> cable_before;          ///< between transmitter and match
  std::optional<NamedCable> cable_after;           ///< between match and load
  tuner::Tuner tuner;                              ///< kind tuner
  SwitchedCoil coil;                               ///< kind switched_coil
  std::optional<StatedTransformer> transformer{};  ///< kind transformer
  Parts parts;                                     ///< of kinds that take parts; of switched_coil its part across
  std::string design_condition;                    ///< a fixed match is made for it; empty: for all normal conditions
  Trim trim = Trim::once;                          ///< of a fixed match
  std::size_t antenna = 0;                         ///< of Station::antennas, with the whip changed as stated
  std::optional<WhipChange> whip{};                ///< what its antenna has otherwise than the file's
  std::optional<double> mass_kg{};             ///< of what stands between set and antenna, > 0; the sum of `carried`
  std::optional<double> volume_m3{};           ///< of the box that holds it, > 0; of `mass` alone
  std::vector<StatedSetting> settings{};       ///< empty: they are searched
  energy::TunerDraw draw{};                    ///< what its tuner takes from the battery
  std::optional<double> tune_power_w{};        ///< of the set while its tuner tunes; nothing: its full power
  std::optional<double> least_tune_power_w{};  ///< with which its tuner can read an SWR; nothing: not stated
  std::optional<bool> latching{};              ///< its tuner's relays stay without supply; nothing: not stated
  std::vector<StatedPart> carried{};           ///< empty: typical parts are counted
};

/// How far inputs are off, for the bands on results. Of coils in the wires of antennas Q is varied, as one for all of
/// them; neither contact nor heat is.
struct Uncertainty {
  double q = 0.15;      ///< relative, of every coil's Q: surface, joints, neighbours (common practice 5-15 %)
  double ground = 0.4;  ///< relative, of the ground's share of the load resistance (real soil +-30..50 %)
  std::optional<Range> ground_factor{};  ///< in place of it: factors on that share, 1 among them
  Range contact_ohm{};                   ///< what contacts add in series with each coil and each relay, low >= 0
  Range temperature_c{20.0, 20.0};       ///< of the coils' metal; a stated Q is that at 20 C
  double lengths = 0.0;                  ///< relative, of whip and wire: the load is that of a frequency so much higher
};

/// What the station runs on.
struct Supply {
  energy::Battery battery;
  double temperature_c = 20.0;
  std::optional<double> mass_kg{};
  energy::SetDraw set;                ///< currents of the set in the file's mode
  std::optional<double> volume_m3{};  ///< > 0
  std::optional<double> cut_off_v{};  ///< under load, at which the set switches off; nothing: the battery's end
};

/// Which published levels count, how somebody transmits, whose body it is, and how he stands in the wind: for fields at
/// people, what goes into them and what pulls at them.
struct Exposure {
  std::vector<safety::Level> levels = safety::published_levels();
  safety::Duty duty;
  safety::BodyFacts body;
  safety::Stand stand;  ///< of [wind]; its person has the mass of `body`
};

/// How a verdict is reached.
struct Decision {
  double audible_db = 1.0;  ///< what lies within this of the best is as good
};

/// How good the contacts are that an operator usually makes.
struct ContactMargin {
  double margin_db = 0.0;  ///< median of what a contact has to spare with the reference, as the operator states it
  double sigma_db =
      8.0;  ///< > 0, standard deviation of signal less what is needed, from contact to contact: from memory
};

/// Seconds that a hand takes at the whip; nothing: not stated.
struct HandTimes {
  std::optional<double> tap_s{}, trimmer_s{}, part_s{};  ///< to move a tap, to turn a trimmer, to change a part
};

struct Station {
  std::string name;
  std::string note;
  bool whip_on_body = true;
  Transmitter transmitter;
  std::vector<Band> bands;
  std::vector<Condition> conditions;
  std::vector<Antenna> antennas;    ///< at least one; behind those of the file those with another whip
  std::vector<SwitchedCoil> coils;  ///< all of the file, whether an arrangement names them or not
  std::vector<Arrangement> arrangements;
  Uncertainty uncertainty;
  Decision decision{};
  std::optional<safety::Duty> mode{};       ///< [mode]; a carrier all the time where it is not stated
  std::optional<Supply> supply{};           ///< [battery]
  std::optional<ContactMargin> contacts{};  ///< [contacts]; against the best arrangement of a band
  HandTimes hands{};                        ///< [hands]
  Exposure exposure{};
};

/// True when an arrangement winds the coil of that name: with taps, or part-way up its whip.
bool winds_coil(const Arrangement& arrangement, const std::string& coil);
/// True when it is part-way up its whip.
bool winds_part_way(const Arrangement& arrangement, const std::string& coil);

/// The load of an arrangement's antenna in a condition.
const load::Load& load_of(const Station& station, const Arrangement& arrangement, std::size_t condition);

/// Whether a load is of wires of which a short one lies on lossy ground (wire::has_lying_corner), or states that one
/// does; its loss there is known to be higher than a flat soil's. False where a load is of wires that are not solved.
bool short_wire_lies(const AntennaLoad& load, double frequency_hz);

/// Factors between which the loss in the ground under a load lies. Under a short wire that lies the upper one is
/// wire::lying_ground_factor.high, as measured; not where the ground is stated as factors, or as certain: then somebody
/// knows the place.
Range ground_factors(const Uncertainty& uncertainty, bool short_wire_lies);

/// Elevation at which one hop between two places on the ground leaves and arrives, degrees; below 0 when the layer is
/// under the horizon halfway.
///
/// @param distance_m, height_m  along the ground; of the layer that reflects; > 0, the distance under half the earth
/// Source: triangle of the earth's centre, one end and the point of reflection over the middle, earth's radius R = 6371
/// km: tan(elevation) = (cos a - R/(R + h))/sin a with a = distance/(2 R). Straight rays, so the height is the virtual
/// one.
/// @throws DomainError  out of range
double hop_elevation_deg(double distance_m, double height_m);

/// Texts by the path of the file in whose place they stand.
using TextFiles = std::map<std::string, std::string>;

/// Reads a station from TOML text. README and examples/ describe the file. Nothing is solved: a load given as wires is
/// kept as stated, for solve_loads.
///
/// @param folder  files named in the text are looked for there
/// Every fault is found in one pass, save what is a consequence of another; a text that is no TOML ends at its first.
///
/// @throws ParseErrors  several faults
/// @throws ParseError  unreadable, an unknown or missing key, an illegal or implausible value, a file that cannot be
///                     read, a band that a load does not cover, bands that take a load of wires to more than
///                     most_antenna_samples frequencies: with file, line and column and what would be legal
/// @param replaced  texts in place of files that the station names, by their paths
Station read_station(std::string_view text, const std::string& file, const std::string& folder,
                     const TextFiles& replaced = {});

/// Reads a station file; files named in it are relative to its folder. "-" reads standard input (folder: ".").
Station load_station(const std::string& path);

/// A station as text, to be read more than once: see number_in_file.hpp.
struct StationText {
  std::string text, file, folder;
  TextFiles replaced{};
};

/// The text of a station file. @throws ParseError  it cannot be read
StationText load_station_text(const std::string& path);

/// As read_station of its parts.
Station read_station(const StationText& stated);

/// True when a TOML text is a station and not the file of a tuner: it has a [transmitter]. @throws ParseError
bool is_station(std::string_view text, const std::string& file);

/// Reads a tuner from TOML text with one [tuner] table. @throws ParseError
/// form is "L", "T", "pi" or "LCL" (with [tuner.load_inductors] like [tuner.inductors]). Each bank may have
/// open_contact (capacitance of an open relay contact) and, one entry a part, part_q, part_voltage (peak), part_current
/// (rms), part_power.
tuner::Tuner read_tuner(std::string_view text, const std::string& file);

}  // namespace stile::station
