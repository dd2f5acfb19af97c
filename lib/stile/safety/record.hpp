#pragma once
// A dated record of an evaluation, to be kept and shown: every input, version, level with its status, and result.

#include <cstdint>
#include <string>
#include <vector>

#include <stile/safety/assess.hpp>

namespace stile::safety {

struct RecordHead {
  std::int64_t seconds = 0;          ///< since 1970-01-01, UTC: when it was made
  std::string program;               ///< "stile-whip 1.2.3"
  std::string command;               ///< as it was given
  std::string input_name;            ///< of the file evaluated
  std::string input_text;            ///< and all of it
  std::vector<std::string> further;  ///< more inputs, a line each
};

/// "2026-11-28T15:04:05Z". Source: ISO 8601; days from civil dates counted from the calendar's 400-year cycle.
std::string utc_text(std::int64_t seconds);

/// The record as lines of text: date and program, inputs, what was assumed, the levels used with status and source, rows of
/// every condition, distances, currents, contact, verdicts, and what it does not say. Equal inputs give equal text.
std::string exposure_record(const RecordHead& head, const Assessment& assessment);

}  // namespace stile::safety
