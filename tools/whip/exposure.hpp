#pragma once
// stile-whip --exposure: its options, and what it writes.

#include <cstdint>
#include <string>
#include <vector>

#include <stile/safety/assess.hpp>
#include <stile/wire/condition_sweep.hpp>

#include "cli/command_line.hpp"
#include "cli/json.hpp"

namespace stile::tools {

std::vector<Option> exposure_options();
std::vector<Rule> exposure_rules();

/// @throws UsageError, ParseError
safety::AssessOptions read_exposure(const Arguments& arguments);

/// Every condition at every frequency, in the order of a result's points, solved without the person too.
std::vector<safety::ExposureCase> exposure_cases(const std::vector<wire::ConditionSweep>& sweeps, double power_w,
                                                 const safety::ExposureOptions& options);

/// Members that a point of the result gets: "exposure", "exposure_distances", "body", "contact".
void add_exposure(Json& point, const safety::Assessment& assessment, const std::string& condition, double frequency_hz);
/// "verdicts", "body_verdict", "wind", "contact_facts" and what must stand beside them.
Json exposure_json(const safety::Assessment& assessment);
/// One row a place, level and case.
std::string exposure_csv(const safety::Assessment& assessment);
std::string exposure_text(const safety::Assessment& assessment);

/// The record of --record.
/// @param input_text  of FILE.toml, as it was read
/// @param seconds     of its date
std::string whip_record(const safety::Assessment& assessment, const Arguments& arguments, const std::string& input_text,
                        std::int64_t seconds);

}  // namespace stile::tools
