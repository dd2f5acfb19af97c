#pragma once
// The brief of a station that is to be found: what is given, what may be chosen, and within which limits.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/station/station.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::station {

/// How often a hand touches the match.
enum class Touch {
  nothing,    ///< one setting for all bands and conditions
  band,       ///< one a band, for all its conditions
  condition,  ///< what a hand can move is moved in each condition
  automatic,  ///< it sets itself
};

/// "nothing", "band", "condition", "automatic".
std::string_view touch_name(Touch touch);

/// Lengths among which one is chosen.
struct LengthChoice {
  Range range_m;                 ///< 0 < low <= high
  std::optional<double> step_m;  ///< from the lower end upwards; nothing: any length
};

/// A coil that may be wound: one of each list of [coil].
struct CoilOption {
  std::string name;    ///< "coil", "coil 2"
  std::string said;    ///< "former 60 mm, wire 1.5 mm, pitch 3 mm"
  double turns = 0.0;  ///< 0: as many as the antenna needs
  std::size_t former = 0, wire = 0, pitch = 0,
              material = 0;  ///< places in those lists; 0 as well where one value stands
};

/// A match that may stand between set and antenna. It becomes an arrangement of the station.
struct NetworkOption {
  std::string name;
  ArrangementKind kind = ArrangementKind::straight;
  Touch touch = Touch::nothing;
  std::string tuner;                ///< of kind tuner
  std::string coil;                 ///< of kinds that take one: of Brief::coils
  double turns_ratio = 1.0;         ///< of kind transformer
  std::optional<double> mass_kg{};  ///< nothing: not stated
};

/// What may hang in a wire or in the lead of the set.
struct ChokeOption {
  std::string name;                 ///< empty: none
  std::optional<double> mass_kg{};  ///< of none 0
};

/// Level spokes at the whip's top.
struct HatOption {
  std::string name;  ///< empty: none
  int spokes = 0;
  double length_m = 0.0;  ///< of each
  double mass_kg = 0.0;
};

/// A coil on the whip: one [[loading_coil]] with one of its turns or inductances at one of its places.
struct LoadingOption {
  std::string name;                 ///< empty: none; "top coil, 40 turns at 0.6 of the whip"
  std::size_t table = 0, size = 0;  ///< which [[loading_coil]], and which of its turns or inductances
  double place = 0.0;               ///< of its centre, as a share of the whip's length from the feed
  bool wound = false;               ///< stated by its winding
  std::optional<double> mass_kg{};  ///< nothing: not stated; of none 0
};

struct Brief {
  std::string name, note;
  Station given;  ///< transmitter, bands with their paths, uncertainty, decision, mode, supply; no antennas
  std::vector<double> weights;        ///< one a band, > 0
  std::vector<Condition> conditions;  ///< as the wires have them: a hand without a stated contact is five
  LengthChoice whip;
  int least_wires = 1, most_wires = 1;  ///< 0..5
  LengthChoice wire;                    ///< of each trailing wire
  double base_height_m = 0.0;
  std::vector<ChokeOption> chokes;             ///< the first is none
  std::vector<HatOption> hats;                 ///< likewise
  std::vector<LoadingOption> loading;          ///< likewise
  std::vector<std::string> layouts{"bundle"};  ///< or "spread", or both: of two wires or more
  std::vector<CoilOption> coils;
  std::optional<double> most_turns;     ///< of a coil whose turns are not stated
  std::vector<NetworkOption> networks;  ///< at least one
  double whip_kg_per_m = 0.0, wire_kg_per_m = 0.0;
  std::optional<double> most_mass_kg;   ///< of antenna and match
  std::optional<double> most_height_m;  ///< of the whip's tip above the ground
  bool hand = false;                    ///< a condition has a hand on the set
  bool carried = false;                 ///< set and person are in every condition
  bool computed_coils = false;          ///< every coil of a match is wound; otherwise Q is as stated
  std::vector<std::string>
      assumed;             ///< what the brief left open and was taken as usual, or not counted, a sentence each
  std::string text, file;  ///< what was read: its tables are copied into what is written
};

/// Reads a brief from TOML text. README describes its keys. Nothing is solved.
///
/// @throws ParseErrors  several faults, all found in one pass
/// @throws ParseError   unreadable, an unknown or missing key, an illegal or implausible value, limits that contradict
///                      each other or leave nothing to choose: with file, line and column and what would be legal
Brief read_brief(std::string_view text, const std::string& file);

/// The same of a file; "-" reads standard input.
Brief load_brief(const std::string& path);

/// The longest whip, m: its own limit, or what the limit of its tip's height leaves above the base, whichever is
/// shorter.
double longest_whip_m(const Brief& brief);

/// An antenna within a brief.
struct AntennaChoice {
  double whip_m = 0.0;
  std::vector<double> wires_m;  ///< of each trailing wire, falling
  std::size_t choke = 0;        ///< of Brief::chokes
  std::size_t hat = 0;          ///< of Brief::hats
  std::size_t loading = 0;      ///< of Brief::loading
  std::size_t layout = 0;       ///< of Brief::layouts; 0 with fewer than two wires

  friend auto operator<=>(const AntennaChoice&, const AntennaChoice&) = default;
};

/// Whip, wires, choke, hat and coil on the whip, kg. What the brief does not state of a choke or coil counts 0.
double antenna_mass_kg(const Brief& brief, const AntennaChoice& antenna);

/// Choke and coil on the whip have a stated mass, or are none.
bool antenna_mass_known(const Brief& brief, const AntennaChoice& antenna);

/// The antenna as a wires file in all conditions of the brief.
/// Accuracy: read_wires gives lengths back to the last bit.
std::string wires_text(const Brief& brief, const AntennaChoice& antenna);

/// The same as read_wires reads it. @throws ParseError  a geometry that cannot be
std::vector<wire::WireCase> wire_cases(const Brief& brief, const AntennaChoice& antenna);

/// The brief's text with one more condition, of the usual ground. Comments are lost.
/// @param share  of the time; needed where the brief's own conditions have one
std::string with_condition(const Brief& brief, const std::string& name, const std::string& kind,
                           const std::optional<double>& share = {});

/// A coil of the brief as the table of a station, "[coil.NAME]".
/// @param turns, taps  as it is wound; 0 turns: as many as needed
std::string coil_text(const Brief& brief, const CoilOption& coil, double turns, const std::vector<StatedTap>& taps);

/// A station of a brief: one antenna and some of the networks.
struct StationChoice {
  struct Network {
    std::size_t option = 0;               ///< of Brief::networks
    std::vector<StatedSetting> settings;  ///< empty: they are searched
    double turns = 0.0;                   ///< of its coil; 0: those of the CoilOption
    std::vector<StatedTap> taps{};        ///< likewise; bands without one are searched
  };
  std::string name;
  AntennaChoice antenna;
  std::vector<Network> networks;
};

/// The station as a file that read_station reads.
///
/// @param wires_file  names the file of wires_text; empty: the wires stand in the station's own text
/// @param remarks     comment lines for its head, without the leading '#'
/// Accuracy: values of settings are read back to the last bit.
std::string station_text(const Brief& brief, const StationChoice& station, const std::string& wires_file,
                         const std::vector<std::string>& remarks = {});

}  // namespace stile::station
