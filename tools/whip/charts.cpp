#include "whip/charts.hpp"

#include <algorithm>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/plots/field.hpp>
#include <stile/plots/whip_current.hpp>
#include <stile/plots/whip_impedance.hpp>
#include <stile/plots/whip_pattern.hpp>
#include <stile/plots/whip_power.hpp>
#include <stile/plots/whip_study.hpp>
#include <stile/wire/far_field.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "whip/exposure.hpp"

namespace stile::tools {

namespace {

/// Away from the person's whip on his side, at the height of his head: the conditions with the largest ratios, and
/// places of a person in the worst.
plots::Chart exposure_chart(const WhipJob& job, const std::string& with, const std::string& source) {
  const std::vector<std::size_t> order = safety::worst_first(*job.exposure);
  const std::size_t shown = std::min(order.size(), plots::most_field_curves);
  const std::vector<double> distances = safety::chart_distances();
  std::vector<plots::FieldCurve> curves;
  for (std::size_t n = 0; n < shown; ++n) {
    const safety::ExposureCase& one = job.exposed[order[n]];
    curves.push_back({one.wires.name, safety::field_along(one, safety::azimuth_from_carrier(one.wires) + pi,
                                                          safety::carrier_of(one.wires).places.front().point_m.z_m,
                                                          distances, job.exposure->options.exposure)});
  }
  const safety::ExposureCase& worst = job.exposed[order.front()];
  std::vector<plots::FieldPlace> places;
  for (const safety::FieldAt& f : job.exposure->cases[order.front()].fields) {
    const bool other_side = f.where.rfind("left", 0) == 0 || f.where.rfind("worst", 0) == 0;
    if (!f.carrier || f.whole_body || other_side) continue;
    places.push_back({f.where, safety::distance_from_feed_m(worst.wires, f.point_m), f.e_v_m, f.h_a_m});
  }
  const std::string of =
      shown < order.size() ? fmt::format(", the {} worst of {} conditions", shown, order.size()) : "";
  return plots::field_distance_chart(
      curves, safety::public_levels_at(*job.exposure), places,
      {fmt::format("{}, on the person's side at the height of his head{}; places in \"{}\"", with, of,
                   worst.wires.name),
       source});
}

/// The condition with the largest ratio from the side.
plots::Chart side_chart(const WhipJob& job, const std::string& with, const std::string& source) {
  const std::vector<std::size_t> order = safety::worst_first(*job.exposure);
  const safety::ExposureCase& one = job.exposed[order.front()];
  const safety::FieldPlane plane =
      safety::field_plane(one, safety::plane_of(one.wires), job.exposure->options.exposure);
  const std::string of = order.size() > 1 ? fmt::format(", the worst of {} conditions", order.size()) : "";
  return plots::field_side_chart(plane, one.wires, safety::public_levels_at(*job.exposure),
                                 safety::carrier_of(one.wires).places,
                                 {fmt::format("{}, from the side, \"{}\"{}", with, one.wires.name, of), source});
}

}  // namespace

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
  const std::string field =
      fmt::format("Field at {} with {} into the antenna", at, print_quantity(job.power_w, Unit::watt));
  if (job.show == "exposure") return exposure_chart(job, field, source);
  if (job.show == "side") return side_chart(job, field, source);
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
    return plots::whip_study_chart(
        job.studies,
        {fmt::format("{} at {}; to tune it, a coil of Q {:g} at the feed is assumed",
                     coil ? "Coil on the whip and length of the whip" : "Length of the whip", at, job.tuning_q),
         source});
  }
  return plots::whip_impedance_chart(sweeps, {"Feed impedance of the whip" + of, source});
}

}  // namespace stile::tools
