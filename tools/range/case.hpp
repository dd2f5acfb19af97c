#pragma once
// What stile-range is asked about: a tuner, loads, frequencies.

#include <optional>
#include <string>
#include <vector>

#include <stile/tuner/continuous.hpp>
#include <stile/tuner/survey.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

struct RangeCase : tuner::RangeQuestion {        // its tuner is empty when `turned` is there
  std::string origin;                            ///< the file, for charts
  std::optional<tuner::ContinuousTuner> turned;  ///< of parts that turn
  bool whip_on_body = false;
  bool reference_stated = false;  ///< of maps on the reflection plane
};

/// --tuner, --frequency, --bands, --points, --load, --load-file, --source, --power, --swr, --name.
std::vector<Option> range_case_options();

/// @param with_loads  false: the loads of the station file are left out
/// @param fallback    taken when the command line and the file state no frequency; empty: that is an error
/// @throws UsageError, ParseError  also a load that does not reach a frequency asked for
RangeCase read_range_case(const Arguments& arguments, bool with_loads = true,
                          const std::vector<tuner::BandPoints>& fallback = {});

/// @throws UsageError  the tuner's parts turn, and the job is for switched ones
void need_switched(const RangeCase& c, const std::string& job);

}  // namespace stile::tools
