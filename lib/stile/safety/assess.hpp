#pragma once
// Everything this room says about an antenna in all its conditions, in one call.

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/safety/body.hpp>
#include <stile/safety/contact.hpp>
#include <stile/safety/corona.hpp>
#include <stile/safety/distances.hpp>
#include <stile/safety/exposure.hpp>
#include <stile/safety/wind.hpp>

namespace stile::safety {

struct AssessOptions {
  ExposureOptions exposure;
  BodyFacts body;
  std::optional<Pole> pole;  ///< that carries the whip
  Stand stand;
};

struct CaseAssessment {
  std::string condition;
  double frequency_hz = 0.0, power_w = 0.0;
  bool person_in_model = false;
  std::vector<FieldAt> fields;             ///< at every place, whether a level is there or not
  std::vector<StandardGroup> no_level;     ///< those that say nothing of fields at this frequency
  std::vector<std::string> nobody_stands;  ///< places of bystanders left out, and why
  std::vector<ExposureRow> rows;
  std::vector<LevelReach> reaches;
  BodyExposure body;
  std::vector<BodyRow> body_rows;  ///< what goes into it beside published levels
  Contacts contacts;
  std::vector<BodyRow> contact_rows;          ///< the contacts beside published levels
  std::vector<std::string> no_current_level;  ///< what standards without a level of current say instead
  std::vector<Tip> tips;
  double gap_jumped_m = 0.0;  ///< by the highest of the voltages, smooth plates, at the altitude: hf_gap_jumped_m
};

struct Assessment {
  AssessOptions options;
  std::vector<CaseAssessment> cases;  ///< in the order given
  std::vector<Verdict> verdicts;
  WindTable wind;  ///< worst_wind of the cases
};

/// Called before each case with its index.
using AssessProgress = std::function<void(std::size_t done, std::size_t total)>;

/// @throws DomainError  no case; as exposures, level_reaches, body_exposure, contacts, tips, wind_table,
/// air_pressure_pa
Assessment assess(std::span<const ExposureCase> cases, const AssessOptions& options,
                  const AssessProgress& progress = {});

/// The verdict on the public of the standard that is exceeded most, or met most narrowly, and behind it what is touched
/// or goes through a body likewise (body_finding): one line for the cautions. Empty where there is no ratio.
std::vector<std::string> public_findings(std::span<const Verdict> verdicts, std::span<const BodyRow> rows);

/// Body and contact rows of all cases.
std::vector<BodyRow> all_body_rows(const Assessment& assessment);

/// The strongest field at each place over all cases, E and H each with its condition.
struct WorstField {
  std::string where;
  bool whole_body = false;
  double e_v_m = 0.0, h_a_m = 0.0;
  std::string e_condition, h_condition;
  double e_frequency_hz = 0.0, h_frequency_hz = 0.0;
  std::optional<double> e_with_person_v_m;  ///< in the same condition
};
std::vector<WorstField> worst_fields(const Assessment& assessment);

/// Indices of the cases, worst first: by the largest ratio of the public's, or where no level is there by the strongest
/// E at who carries it.
std::vector<std::size_t> worst_first(const Assessment& assessment);

/// Levels of the public at the first case's frequency, for a chart.
std::vector<LevelAt> public_levels_at(const Assessment& assessment);

/// The farthest that a level reaches over all cases: around the feed without going along a wire, along a wire from the
/// feed, and around the wires' ends.
struct WorstReach {
  LevelAt level;
  double farthest_m = 0.0;  ///< around the feed, in the direction where it reaches farthest: met beyond, everywhere
  double least_direction_m = 0.0;  ///< around the feed, in the direction where it reaches least far, worst case
  std::string farthest_condition;
  double wire_end_m = 0.0;                                 ///< from the end of a wire
  bool above_there = false, wire_end_above_there = false;  ///< still above at the farthest distance searched
};
std::vector<WorstReach> worst_reaches(const Assessment& assessment);

}  // namespace stile::safety
