#include "whip/charts.hpp"

#include <algorithm>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/plots/whip_current.hpp>
#include <stile/plots/whip_impedance.hpp>
#include <stile/plots/whip_pattern.hpp>
#include <stile/plots/whip_power.hpp>
#include <stile/plots/whip_study.hpp>
#include <stile/wire/far_field.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"

namespace stile::tools {

plots::Chart whip_chart(const WhipJob& job, const std::string& file) {
  const std::string source = fmt::format(
      "Wires of {}, computed by {}: thin wires over flat uniform ground{}{}", file, version_text("stile-whip"),
      job.task.options.method == wire::GroundMethod::complex_image ? ", complex image" : "", chart_caution);
  const std::string at = print_quantity(job.task.frequency_hz.front(), Unit::hertz, 6);
  const std::string of = job.task.frequency_hz.size() == 1 ? " at " + at : "";
  std::vector<plots::WhipSweep> sweeps;
  for (const wire::ConditionSweep& c : job.cases) {
    sweeps.push_back({c.wires.name, {}});
    for (const wire::ConditionPoint& p : c.points) sweeps.back().points.push_back(p.solution);
  }
  if (job.show == "smith")
    return plots::whip_smith_chart(sweeps, job.reference_ohm, {"Feed impedance of the whip" + of, source});
  if (job.show == "power") return plots::whip_power_chart(sweeps, {"Where the power into the whip goes" + of, source});
  if (job.show == "current") {
    std::vector<plots::WhipCurrent> all;
    for (const wire::ConditionSweep& c : job.cases) {
      all.push_back({c.wires.name, {}, c.points.front().solution});
      for (const wire::Wire& w : c.wires.antenna.wires) all.back().wires.push_back(w.person ? "person" : w.name);
    }
    return plots::whip_current_chart(all, {"Current along the wires at " + at, source});
  }
  if (job.show == "pattern") {
    std::vector<plots::WhipPattern> all;
    for (const wire::ConditionSweep& c : job.cases) {
      const wire::AntennaSolution& s = c.points.front().solution;
      all.push_back({c.wires.name, wire::vertical_pattern(s, job.azimuth_rad, 181),
                     wire::vertical_pattern(s, job.azimuth_rad + pi, 181)});
    }
    return plots::whip_pattern_chart(
        all, {fmt::format("Gain in the vertical plane at {}; to the right: azimuth {:g} degrees from the x axis", at,
                          job.azimuth_rad * 180.0 / pi),
              source});
  }
  if (job.show == "study") {
    const bool coil = std::any_of(job.studies.begin(), job.studies.end(),
                                  [](const wire::AntennaStudy& study) { return !study.coil.empty(); });
    return plots::whip_study_chart(job.studies, {fmt::format("{} of the whip at {}, tuned with a coil of Q {:g}",
                                                             coil ? "Coil and length" : "Length", at, job.tuning_q),
                                                 source});
  }
  return plots::whip_impedance_chart(sweeps, {"Feed impedance of the whip" + of, source});
}

}  // namespace stile::tools
