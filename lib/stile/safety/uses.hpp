#pragma once
// The same antennas fed by several transmitters, matches and powers: what each of them does to people.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/safety/assess.hpp>

namespace stile::safety {

/// One of several transmitters, matches and powers on the same antennas.
struct PoweredUse {
  std::string band, arrangement;
  std::size_t antenna = 0;  ///< index of a case
  double power_w = 0.0;     ///< into it; 0: none, and it is left out
  double coil_v_peak =
      0.0;  ///< highest along the coil at the base, open turns too (an autotransformer: to ground); 0: none
  std::optional<Duty>
      duty{};  ///< how it transmits, the same in all conditions of an arrangement; nothing: as the options say
  std::vector<CoilPlace> coil_places{};  ///< of a coil at the base, to be touched like whip and wires
};

/// In one condition, key down.
struct UseCondition {
  BodyExposure body;
  Contacts contacts;
  double coil_v_peak = 0.0;  ///< of the use
  std::vector<Tip> tips;
  double gap_jumped_m = 0.0;  ///< by the highest voltage of `contacts` and coil: hf_gap_jumped_m
};

/// What an arrangement does on a band: the worst over its conditions.
struct UseExposure {
  std::string band, arrangement;
  std::vector<ExposureRow> rows;   ///< one a place, standard, group and scope, of the condition with the largest ratio
  std::vector<Verdict> verdicts;   ///< of all conditions
  std::vector<BodyRow> body_rows;  ///< body_rows and contact_rows: one a place, standard, group and quantity, likewise
  std::vector<StandardGroup> no_level;   ///< those that say nothing of fields at this use's frequency
  std::vector<UseCondition> conditions;  ///< in the order of the uses
  Duty duty{};                           ///< with which averaged levels were compared
};

/// Fields, bodies and contacts of each case are computed once and go with each use's power; bases are moved as
/// with_moved_base has it.
/// @param cases     their own power is not used
/// @return  in the order in which band and arrangement first come
/// @throws DomainError  no such case, a power below 0; as fields_at_people, body_exposure, contacts, tips
std::vector<UseExposure> use_exposures(std::span<const ExposureCase> cases, std::span<const PoweredUse> uses,
                                       const ExposureOptions& options, const BodyFacts& facts = {});

}  // namespace stile::safety
