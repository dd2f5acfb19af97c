#pragma once
// What stile-range is asked about: a tuner, loads, frequencies.

#include <optional>
#include <string>
#include <vector>

#include <stile/load/load.hpp>
#include <stile/network/ladder.hpp>
#include <stile/tuner/continuous.hpp>
#include <stile/tuner/tuner.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

struct NamedLoad {
  std::string name;  ///< the condition, "load 2", or the file
  Load load;
};

/// A band with the points of its sweep, or one frequency alone.
struct BandPoints {
  std::string name;                  ///< "40 m", "7 MHz to 7.2 MHz"; of one frequency: "7.1 MHz"
  std::vector<double> frequency_hz;  ///< rising
  double middle_hz = 0.0;            ///< where loads, coverage and maps are looked at
};

struct RangeCase {
  std::string origin;                     ///< the file, for charts
  Tuner tuner;                            ///< of switched parts; empty when `turned` is there
  std::optional<ContinuousTuner> turned;  ///< of parts that turn
  Source source;
  double swr_limit = 2.0;
  std::vector<BandPoints> bands;  ///< not empty
  std::vector<NamedLoad> loads;
  bool whip_on_body = false;
};

/// --tuner, --frequency, --bands, --points, --load, --load-file, --source, --power, --swr, --name.
std::vector<Option> range_case_options();

/// @param with_loads  false: the loads of the station file are left out, and a load is an error
/// @param fallback    taken when the command line and the file state no frequency; empty: that is an error
/// @throws UsageError, ParseError  also a load that does not reach a frequency asked for
RangeCase read_range_case(const Arguments& arguments, bool with_loads = true,
                          const std::vector<BandPoints>& fallback = {});

/// @throws UsageError  the tuner's parts turn, and the job is for switched ones
void need_switched(const RangeCase& c, const std::string& job);

/// `points` frequencies at even steps, both ends included.
BandPoints band_points(const std::string& name, double low_hz, double high_hz, std::size_t points);

}  // namespace stile::tools
