#pragma once
// The station file: everything a user states, validated, with the place of each value for messages.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/coil/analysis.hpp>
#include <stile/load/load.hpp>
#include <stile/match/eseries.hpp>
#include <stile/match/match.hpp>
#include <stile/network/foldback.hpp>
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

struct Band {
  std::string name;
  double low_hz = 0.0, high_hz = 0.0;
  double use_low_hz = 0.0, use_high_hz = 0.0;  ///< the part that is used: limits and ratings must hold there
  double design_hz = 0.0;                      ///< within it; where a match is designed and a budget is drawn up
};

/// An antenna of wires in one condition, as a load states it: its geometry is checked, nothing is solved.
struct StatedWires {
  wire::Antenna antenna;
  wire::Ground ground;
  std::string origin;    ///< of the load that it becomes: "computed from wires of whip.toml, condition \"lifted\""
  Where where;           ///< where the file states it
  bool carried = false;  ///< set and person are in it
};

/// A load in one condition of the ground and the wire.
struct Condition {
  std::string name;
  load::Load load;                     ///< of wires: without data until solve_loads
  std::optional<StatedWires> wires{};  ///< set while the load is stated as wires and not solved
};

/// A cable with its length, as an arrangement uses it.
struct NamedCable {
  std::string name;  ///< the user's name for it
  network::TransmissionLine line;
};

/// Parts of which fixed matches are made.
struct Parts {
  match::PartStock stock{};
  network::Rating inductor_rating{}, capacitor_rating{};
  std::optional<match::ESeries> inductor_series, capacitor_series;  ///< preferred values, when parts are bought
};

/// Where a switched coil is tapped on a band, as the file states it.
struct StatedTap {
  std::string band;
  double turns = 0.0;                  ///< from the transmitter's end; 0: the coil is bypassed
  std::optional<coil::Unused> unused;  ///< nothing: the better of the two, computed
};

/// A coil in series at the whip, wound from stated wire and tapped for every band.
struct SwitchedCoil {
  std::string name;
  coil::Winding winding;        ///< one section; its turns are those below, or found
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

struct Arrangement {
  std::string name;
  ArrangementKind kind = ArrangementKind::straight;
  std::optional<NamedCable> cable_before;  ///< between transmitter and match
  std::optional<NamedCable> cable_after;   ///< between match and load
  tuner::Tuner tuner;                      ///< kind tuner
  SwitchedCoil coil;                       ///< kind switched_coil
  Parts parts;                             ///< kinds l_network, base_coil and switched_coil (its part across)
  std::string design_condition;            ///< a fixed match is made for it; empty: for the best worst case
  bool trimmed = false;  ///< a fixed match is set anew by hand in each condition (a tap, a variable part)
};

/// How far inputs are off, for the bands on results.
struct Uncertainty {
  double q = 0.15;      ///< relative, of every coil's Q: surface, joints, neighbours (common practice 5-15 %)
  double ground = 0.4;  ///< relative, of the ground's share of the load resistance (real soil +-30..50 %)
};

struct Station {
  std::string name;
  std::string note;
  bool whip_on_body = true;
  Transmitter transmitter;
  std::vector<Band> bands;
  std::vector<Condition> conditions;
  std::vector<SwitchedCoil> coils;  ///< all of the file, whether an arrangement names them or not
  std::vector<Arrangement> arrangements;
  Uncertainty uncertainty;
};

/// Reads a station from TOML text. README and examples/ describe the file. Nothing is solved: a load given as wires is
/// kept as stated, for solve_loads.
///
/// @param folder  files named in the text are looked for there
/// @throws ParseError  unreadable, an unknown or missing key, an illegal or implausible value, a file that cannot be
///                     read, a band that a load does not cover, bands that take a load of wires to more than
///                     most_antenna_samples frequencies: with file, line and column and what would be legal
Station read_station(std::string_view text, const std::string& file, const std::string& folder);

/// Reads a station file; files named in it are relative to its folder. "-" reads standard input (folder: ".").
Station load_station(const std::string& path);

/// True when a TOML text is a station and not the file of a tuner: it has a [transmitter]. @throws ParseError
bool is_station(std::string_view text, const std::string& file);

/// Reads a tuner from TOML text with one [tuner] table. @throws ParseError
/// form is "L", "T", "pi" or "LCL" (with [tuner.load_inductors] like [tuner.inductors]). Each bank may have open_contact
/// (capacitance of an open relay contact) and, one entry a part, part_q, part_voltage (peak), part_current (rms), part_power.
tuner::Tuner read_tuner(std::string_view text, const std::string& file);

}  // namespace stile::station
