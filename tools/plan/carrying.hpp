#pragma once
// Parts, mass, hands, the order of bands, resets and frontiers, as text, JSON and CSV.

#include <string>
#include <vector>

#include "cli/json.hpp"
#include "plan/report.hpp"

namespace stile::tools {

/// What carrying_text says, in pieces.
struct Carrying {
  std::string note;
  std::vector<std::vector<std::string>> rows;  ///< mass, volume and hands of each arrangement, with a heading
  std::vector<std::string> parts;              ///< a line each arrangement
  std::string signal_title;
  std::vector<std::vector<std::string>>
      signal;                         ///< mass and volume beside what each gives on each band, with a heading
  std::vector<std::string> resets;    ///< setting anew against leaving alone, and tuners charged with too few tunes
  std::vector<std::string> unbeaten;  ///< what no other beats, on each band
};
Carrying carrying(const Answers& answers);

/// "tap and part, 30 s", "nothing", of a tuner "by itself, 4 s".
std::string work_text(const plan::HandWork& work);

std::string carrying_text(const Answers& answers);
Json carrying_json(const Answers& answers);
std::string carrying_csv(const Answers& answers);

}  // namespace stile::tools
