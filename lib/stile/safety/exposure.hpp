#pragma once
// Fields at people beside an antenna, from the currents of all its conductors, beside published reference levels.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/safety/duty.hpp>
#include <stile/safety/levels.hpp>
#include <stile/safety/places.hpp>
#include <stile/wire/solve.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::safety {

/// A solved antenna in one condition at one frequency, and the power into it.
struct ExposureCase {
  wire::WireCase wires;
  wire::AntennaSolution solution;  ///< of those wires
  double power_w = 5.0;            ///< into the antenna, key down; > 0
  /// Of the same antenna without the person, where it is known; otherwise what needs it solves it.
  std::optional<wire::AntennaSolution> bare = {};
};

struct ExposureOptions {
  std::vector<Level> levels = published_levels();
  Duty duty;
  wire::SolveOptions solve;  ///< of what is solved anew: without the person, with the feed moved
  unsigned threads = 0;      ///< 0: as many as the machine has
};

/// The case with its currents without the person: `solution` where nobody is in the model.
/// @throws DomainError  as solve_antenna
ExposureCase with_bare(ExposureCase one, const ExposureOptions& options);

/// A field at one place, rms over the period and all components, key down.
struct FieldAt {
  std::string where;        ///< "head", "whole body", "bystander at 1 m" ...
  wire::Vec3 point_m;       ///< of a whole body: where its field is strongest
  bool carrier = true;      ///< of the person who carries it; otherwise of one who stands by
  bool whole_body = false;  ///< the field is the root of the mean square along the body (20 points)
  double e_v_m = 0.0,
         h_a_m = 0.0;  ///< without the person, at the same power into the antenna: what levels are meant for
  /// With the person of the file standing in it, at places on his surface; none along his axis, inside of him.
  std::optional<double> e_with_person_v_m, h_with_person_a_m;
  double clearance_m = 0.0;  ///< of the body's surface from the nearest conductor, at least 0
};

/// A field beside one level.
struct ExposureRow {
  FieldAt field;
  std::string condition;
  double frequency_hz = 0.0;
  double power_w = 0.0;
  LevelAt level;
  bool averaged = false;        ///< whether the level is averaged in time
  double power_share = 1.0;     ///< mean power over the worst averaging time, of the key-down power
  std::optional<double> ratio;  ///< sqrt(power_share) max(E/level, H/level); none: `note` says why
  std::string note;
};

/// Fields of one case at the person who carries it and at bystanders: 1, 2 and 5 m from the feed in the worst of the
/// directions that bystanders_at names, 0.2 m beyond the free end of each trailing wire, by their axes. The worst point
/// of a body is that of axis, places and body_surface. At 1, 2 and 5 m the whole surface is taken in the directions in
/// which axis and the line of the surface that faces the feed have the largest E and the largest H.
///
/// @throws DomainError  power_w not positive; as solve_antenna and near_field
/// Accuracy: that of near_field. What the model leaves open is more: soil, and a body's own effect on the field.
std::vector<FieldAt> fields_at_people(const ExposureCase& one, const ExposureOptions& options);

/// Where fields_at_people lets no bystander stand, a line each.
std::vector<std::string> bystanders_left_out(const wire::WireCase& wires);

/// The same fields with another power into the antenna: they go with its root.
/// @throws DomainError  a power not above 0
std::vector<FieldAt> at_power(std::vector<FieldAt> fields, double from_w, double to_w);

/// The fields beside every level: whole-body levels against the mean over a body, local and not averaged ones against
/// every place and the worst point of a body. Nearer to a body than 20 cm 47 CFR 1.1310 gives no ratio.
std::vector<ExposureRow> exposure_rows(const ExposureCase& one, const std::vector<FieldAt>& fields,
                                       const ExposureOptions& options);

/// fields_at_people and exposure_rows of all cases, in their order.
std::vector<std::vector<ExposureRow>> exposures(std::span<const ExposureCase> cases, const ExposureOptions& options);

/// The worst row of one standard for one group, and what would bring all of that standard's rows for that group under
/// the level.
struct Verdict {
  ExposureRow worst;
  /// Into the antenna in the worst row's case, with which that row meets its level, W: the set is turned down, so that
  /// all cases get less in one proportion and all rows meet it (a set that folds back to a fixed power does not). The
  /// field goes with the root of power.
  double power_w = 0.0;
  std::optional<double> raise_m;  ///< least of the tried raises of the feed at which everybody meets it in every case;
                                  ///< none: none does, or none is needed
  std::optional<double> back_m;   ///< likewise of the tried ways to set the base back, away from who carries it
  /// Largest share of talking, in hundredths, at which the standard's rows of that group all meet it at the same power;
  /// none: none does, as where a level is not averaged, or none is needed.
  std::optional<double> talk_share;
  bool portable = false;            ///< to who carries it this standard gives no ratio: see portable_distance_m
  bool portable_bystander = false;  ///< to a bystander it gives none
  std::string text;                 ///< one line
};

/// One a standard and group, in the order of the levels; those without any ratio are left out. Public and workers
/// are told apart.
///
/// @param cases  those of the rows, in their order. The base is moved as with_moved_base has it.
std::vector<Verdict> exposure_verdicts(std::span<const ExposureCase> cases,
                                       std::span<const std::vector<ExposureRow>> rows, const ExposureOptions& options);

/// The same without a move of the base, from rows alone.
std::vector<Verdict> exposure_verdicts(std::span<const std::vector<ExposureRow>> rows, const Duty& duty);

/// Verdicts, and the cases with the powers that they speak of.
struct VerdictGroup {
  std::vector<Verdict> verdicts;
  std::vector<std::size_t> cases;  ///< indices
  std::vector<double> power_w;     ///< one a case; > 0
  Duty duty{};                     ///< of their transmitter
};

/// Solves the antennas anew with the feed 0.1, 0.2, 0.3, 0.5, 0.7 and 1 m higher, and 0.1, 0.2, 0.3 and 0.5 m farther
/// back from who carries it, where a verdict's worst place is above its level and on him, and puts the least of each
/// that meets the level, at the same power into the antenna, into the verdict and its text. Not from a feed on the
/// ground; a step at which the antenna cannot be solved counts as none. Each antenna is solved once a step, for all
/// groups.
/// @throws DomainError  no such case
std::vector<VerdictGroup> with_moved_base(std::span<const ExposureCase> cases, std::vector<VerdictGroup> groups,
                                          const ExposureOptions& options);

/// What must stand beside every ratio.
const std::vector<std::string>& exposure_caveats();

}  // namespace stile::safety
