#pragma once
// A dated record of an evaluation, to be kept and shown: every input, version, level with its status, and result.

#include <cstdint>
#include <string>
#include <vector>

#include <stile/safety/assess.hpp>
#include <stile/safety/uses.hpp>

namespace stile::safety {

struct RecordInput {
  std::string name;  ///< of the file
  std::string text;  ///< all of it
};

struct RecordHead {
  std::int64_t seconds = 0;  ///< since 1970-01-01, UTC: when it was made
  std::string program;       ///< "stile-whip 1.2.3"
  std::string command;       ///< as it was given
  std::vector<RecordInput> inputs;
};

/// What use_exposures found, and with what.
struct UsesRecord {
  ExposureOptions exposure;
  BodyFacts body;
  Stand stand;
  std::span<const UseExposure> uses;
  std::span<const AntennaWind> winds;
};

/// "2026-11-28T15:04:05Z". Source: ISO 8601; days from civil dates counted from the calendar's 400-year cycle.
std::string utc_text(std::int64_t seconds);

/// The record as lines of text: date and program, inputs, what was assumed, the levels used with status and source,
/// rows of every condition, distances, currents, contact, verdicts, and what it does not say. Equal inputs give equal
/// text.
std::string exposure_record(const RecordHead& head, const Assessment& assessment);

/// The same of uses: of each its power in every condition, its verdicts, of each place and level the worst condition's
/// row, and every condition's currents, contact and tips.
std::string exposure_record(const RecordHead& head, const UsesRecord& record);

}  // namespace stile::safety
