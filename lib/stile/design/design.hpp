#pragma once
// The joint search for antenna and match: a brief in, the best stations out.

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <stile/match/one_setting.hpp>
#include <stile/safety/cautions.hpp>
#include <stile/station/brief.hpp>

namespace stile::design {

namespace detail {
class Antennas;
}

using station::Touch;

/// What is made least. Both are in dB below the transmitter's full power, counted band by band towards the stated path
/// where the brief has one for the band, else as radiated power, in the worst normal condition over the part of each
/// band in use.
enum class Objective {
  mean,  ///< the mean over the bands, by their weights; fold-back inside, the SWR has no limit
  held,  ///< first the number of bands that hold SWR limit and ratings in every normal condition, then that mean
};

/// How a search goes on, for people.
struct Progress {
  std::size_t done = 0, planned = 0;  ///< antennas; more may be planned as the search goes on
  std::string text;
};

struct SearchOptions {
  Objective objective = Objective::held;
  std::optional<Touch> touch;  ///< only networks of this class; nothing: every class that the brief has
  bool look_around = true;     ///< sensitivity and cuts of the first station
  bool every_point = false;    ///< what is found is solved at each frequency: wire::SolveOptions::every_point
  unsigned threads = 0;        ///< 0: as many as the machine has; the result does not depend on it
  std::function<void(const Progress&)> progress;  ///< may be empty; one call at a time
  std::function<bool()> stop;  ///< asked between antennas; true: the best so far, marked as unfinished. May be empty
};

/// What to set in a condition.
struct ConditionSetting {
  std::string condition;
  std::vector<network::Element> elements;
  std::optional<double> tap_turns{}, feed_turns{};  ///< of a wound coil, as in plan::Setting
};

/// A station on one band.
struct BandFigures {
  std::string band;
  std::optional<double> radiated_db, path_db;  ///< of the worst normal condition, as stile-plan gives them
  double counted_db = 0.0;                     ///< the one of them that counts
  std::string worst_condition;                 ///< of counted_db
  double worst_swr = 0.0;                      ///< over the normal conditions
  bool within_swr = false;                     ///< worst_swr is within the limit
  bool within_ratings = true;                  ///< no part over its rating in a normal condition
  bool holds = false;                          ///< both
  double bound_db = 0.0;  ///< no match of whatever kind brings this antenna below: one without loss, in each condition
  std::optional<match::Proof>
      proof{};  ///< of the settings among those that the network can have; none: it cannot be made
  std::vector<ConditionSetting> settings;
};

/// A station that was found, solved exactly and judged as stile-plan judges it.
struct DesignedStation {
  Touch touch = Touch::nothing;
  std::size_t network = 0;  ///< of Brief::networks
  std::string network_name;
  station::AntennaChoice antenna;
  std::string choke;    ///< empty: none
  std::string hat;      ///< likewise
  std::string loading;  ///< the coil on the whip and its place; likewise
  std::string layout;   ///< of two wires or more; empty with fewer
  std::string coil;     ///< of the match, how it is wound; empty: no wound coil
  double coil_turns = 0.0;
  double objective_db = 0.0;
  std::size_t held_bands = 0;
  double mass_kg = 0.0;               ///< of antenna and match
  bool mass_known = true;             ///< false: the match's own is not stated and not in mass_kg
  int hands = 0;                      ///< things a hand moves between conditions, the most of any band
  int hands_between_bands = 0;        ///< likewise at a change of band, in the order of bands that asks least
  std::vector<std::string> at_limit;  ///< "whip length at its upper limit 4.5 m"
  std::vector<BandFigures> bands;
  std::string station_file, wires_file;  ///< names for the texts below
  std::string station_text, wires_text;
  station::Station station;  ///< what reading the first gives, its antenna solved
  std::vector<safety::Caution> cautions;
};

/// What a little more of something brings, everything else as it is and the match set anew.
struct Sensitivity {
  std::string what;
  double db_per_unit = 0.0;          ///< how much the objective falls: > 0 is better
  std::string unit;                  ///< "10 cm"
  std::vector<std::string> stops{};  ///< bands that then stop holding, under Objective::held
};

inline constexpr double least_cut_m = 0.05;  ///< the least by which a length is tried shorter and longer

/// How far a length may be off before the objective is 0.5 dB worse or, under Objective::held, a band that holds stops
/// holding, the match set anew.
struct CutTolerance {
  std::string what;
  double shorter_m = 0.0, longer_m = 0.0;  ///< the largest tried where neither is reached; 0: under least_cut_m
  bool shorter_reached = false, longer_reached = false;
  std::vector<std::string> shorter_stops{},
      longer_stops{};  ///< bands that stop holding there, before 0.5 dB is reached; then the
                       ///< length is the largest tried at which they hold
};

struct Searched {
  std::size_t antennas = 0;     ///< solved
  std::size_t solves = 0;       ///< antennas times conditions times frequencies
  std::size_t settings = 0;     ///< evaluated by the searches of settings
  std::size_t skipped = 0;      ///< matches of solved antennas not searched, since no match could have been better
  bool exhaustive = false;      ///< every antenna of the stated steps was solved
  double worst_error_db = 0.0;  ///< of the search's figures against the exact solution, of those in `stations`
  std::string how;              ///< in one sentence
};

enum class Status {
  not_run,
  found,
  unfinished,  ///< stopped: the best so far
  none,        ///< nothing is within the limits; `stations` has the nearest, `relax` what to relax
};

/// An antenna of the search with one of its matches, by the figures of the search.
struct TriedStation {
  station::AntennaChoice antenna;
  std::size_t network = 0;  ///< of Brief::networks
  double mass_kg = 0.0;     ///< of antenna and match, as in DesignedStation
  bool mass_known = true;
  double objective_db = 0.0;
  std::size_t held_bands = 0;
  std::vector<double> counted_db;  ///< of each band, in their order
  std::vector<bool> holds;         ///< likewise
};

struct Design {
  Status status = Status::not_run;
  Objective objective = Objective::held;  ///< that was asked for
  std::string relax;
  bool towards_path = false;              ///< the objective counts towards the path on every band
  std::vector<DesignedStation> stations;  ///< the best of each class, the best of all first
  Searched searched;
  std::vector<Sensitivity> sensitivity;  ///< of the first station
  std::vector<CutTolerance> cuts;        ///< likewise
  std::vector<TriedStation> tried;  ///< every match that was scored on every antenna, in the order of their lengths
  std::vector<std::string> notes;   ///< what the model could not know, what was assumed, what was not varied
  std::shared_ptr<detail::Antennas>
      antennas{};  ///< solved by the search: what is asked of it need not solve them again
};

/// Finds the best station of a brief for every class of touch.
///
/// Antennas: all that the brief's steps allow, where these are stated; otherwise a grid of 0.5 m over whip and wire
/// with the ends of the limits, refined without derivatives (NLopt, Sbplx; Rowan, Functional Stability Analysis of
/// Numerical Algorithms, thesis, University of Texas at Austin, 1990) and rounded to 1 cm: for each class from up to
/// two places that rank best and up to two that come nearest to holding one band more, on antennas interpolated in
/// length; where a search ends is solved, and if the interpolation was off by 0.05 dB there, it goes on with solved
/// ones. More than two lengths that may be any are refined from the best place alone, twice, each time by a quadratic
/// about a solved antenna, and what is found may be off from what was foretold. Wider limits are then not worse by more
/// than 0.02 dB in 12 nested pairs (test_design.cpp); nothing proves it of others. Beside the lengths the choke, the
/// hat, the coil on the whip and its place, and the layout of several wires are chosen. By stated steps one wire or
/// none is tried in every combination of all that; more wires, and any lengths with hats or coils, in every combination
/// where these are at most 300 antennas. Otherwise antennas without hat, coil and choke are tried over the whole grid
/// and about 300 of the others spread over it, wires are added one after the other to the best with fewer, and one
/// thing at a time is changed until no single change helps: that is a local optimum. Lengths of two and more wires are
/// then every other one of the grid, its ends, and what is next to the best so far. Each antenna is solved in every
/// condition at one to five frequencies of each band and gets, band by band, the setting that make_plan would find.
/// Skipped is what a match without loss could not make better than the best before it, and a base coil of one setting a
/// band where an L network of the same parts, which has all its circuits, takes part as well (trimmed in each condition
/// the two are searched both). The best of each class are solved again as stile-plan does and compared by that. Wound
/// coils are searched with their stated turns, or those that the shortest antenna needs; what is found has these or its
/// own, whichever is better.
///
/// @throws DomainError  the brief has no network of the class asked for
/// Accuracy: figures of `stations` are those of stile-plan on their files (1e-6 dB, test_design.cpp); the model is as
/// good as that of plan and wires.
Design find_stations(const station::Brief& brief, const SearchOptions& options = {});

}  // namespace stile::design
