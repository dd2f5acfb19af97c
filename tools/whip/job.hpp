#pragma once
// What stile-whip is asked for, and what came out.

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <stile/safety/assess.hpp>
#include <stile/safety/cautions.hpp>
#include <stile/wire/antenna_study.hpp>
#include <stile/wire/condition_sweep.hpp>

namespace stile::tools {

struct WhipJob {
  std::string input_text;  ///< of FILE.toml, as it was read
  wire::ConditionTask task;
  double power_w = 5.0;
  double azimuth_rad = 0.0;
  double tuning_q = 200.0;
  std::vector<std::pair<double, double>> elevations_deg;
  double reference_ohm = 50.0;
  std::string show;
  bool detail = false;
  std::vector<wire::Vec3> field_points;
  std::vector<wire::ConditionSweep> cases;
  std::vector<wire::AntennaStudy> studies;
  std::vector<std::string> warnings;
  std::vector<safety::ExposureCase>
      exposed;  ///< in the order of conditions and their frequencies, where they are assessed
  std::optional<safety::Assessment> exposure;  ///< of these cases
  std::vector<safety::Caution> caution_list;
};

}  // namespace stile::tools
