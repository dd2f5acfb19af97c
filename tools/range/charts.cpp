#include "range/charts.hpp"

#include <algorithm>
#include <limits>
#include <map>

#include <fmt/core.h>

#include <stile/plots/range_trade_off.hpp>
#include <stile/plots/range_whip.hpp>
#include <stile/plots/swr.hpp>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

plots::RangeQuantity quantity_of(MapKind kind) {
  if (kind == MapKind::swr) return {"residual SWR", 1.0, 20.0, true, {1.0, 1.2, 1.5, 2.0, 3.0, 5.0, 10.0, 20.0}};
  if (kind == MapKind::loss) return heat_scale();
  if (kind == MapKind::delivered) {
    plots::RangeQuantity loss = heat_scale();
    loss.label = "loss from available to delivered power, dB";
    return loss;
  }
  return {"worst stress over its rating", 0.05, 5.0, true, {0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0}};
}

std::string map_title(const RangeCase& c, MapKind kind) {
  const std::string whom = tuner_text(c.tuner) + ", " + when(c);
  const std::string within = " in the state of least heat within SWR " + figure(c.swr_limit);
  const std::string power = " with " + print_quantity(c.source.power_w, Unit::watt);
  switch (kind) {
  case MapKind::matchable:
    return "Loads that are brought to SWR " + figure(c.swr_limit) + ": " + whom;
  case MapKind::swr:
    return "Residual SWR in the state of least SWR: " + whom;
  case MapKind::delivered:
    return "Loss to the delivered power in the state within SWR " + figure(c.swr_limit) +
           " that delivers most: " + whom;
  case MapKind::loss:
    return "Heat" + within + ": " + whom;
  case MapKind::stress:
    return "Worst part's stress over its rating" + within + power + ": " + whom;
  case MapKind::limiting_part:
    break;
  }
  return "Part nearest to its rating, or farthest over it," + within + power + ": " + whom;
}

std::string limiting_name(const tuner::Tuner& tuner, const tuner::WorstStress& stress) {
  if (stress.factor == 0.0) return "no rating stated";
  const char* kind = stress.kind == tuner::StressKind::voltage   ? "voltage"
                     : stress.kind == tuner::StressKind::current ? "current"
                                                                 : "heat";
  return tuner::arm_name(tuner, stress.arm) + (stress.part ? fmt::format(", part {}", *stress.part + 1) : "") + ": " +
         kind;
}

/// Classes by the area that they take; from the twelfth on they are one.
class PartClasses {
public:
  PartClasses(const tuner::Tuner& tuner, const std::vector<tuner::RangeMap>& maps) : tuner_(tuner) {
    std::map<std::string, std::size_t> areas;
    for (const tuner::RangeMap& map : maps) {
      for (const tuner::MapCell& cell : map.cells) {
        if (cell.status == tuner::TunerStatus::found) ++areas[limiting_name(tuner, cell.stress)];
      }
    }
    std::vector<std::pair<std::size_t, std::string>> order;
    for (const auto& [name, area] : areas) order.emplace_back(area, name);
    std::stable_sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    for (const auto& [area, name] : order) names_.push_back(name);
    if (names_.size() > most) {
      names_.resize(most - 1);
      names_.emplace_back("other parts");
    }
    names_.push_back("no state within the limit");
  }

  const std::vector<std::string>& names() const { return names_; }

  double index(const tuner::MapCell& cell) const {
    if (cell.status == tuner::TunerStatus::not_run) return none;
    if (cell.status != tuner::TunerStatus::found) return static_cast<double>(names_.size() - 1);
    const auto found = std::find(names_.begin(), names_.end(), limiting_name(tuner_, cell.stress));
    return static_cast<double>(found == names_.end() ? names_.size() - 2
                                                     : static_cast<std::size_t>(found - names_.begin()));
  }

private:
  static constexpr std::size_t most = 11;
  const tuner::Tuner& tuner_;
  std::vector<std::string> names_;
};

double cell_value(const tuner::MapCell& cell, MapKind kind) {
  if (cell.status == tuner::TunerStatus::not_run) return none;
  if (kind == MapKind::swr) return cell.swr;
  if (cell.status != tuner::TunerStatus::found) return none;
  return kind == MapKind::loss        ? cell.dissipation_db
         : kind == MapKind::delivered ? tuner::transducer_db(cell.swr, cell.dissipation_db)
                                      : cell.stress.factor;
}

}  // namespace

plots::ChartText chart_text(const RangeCase& c, const std::string& title) {
  return {title, "Tuner: " + c.origin + ". Source: " + impedance_text(c.source.z_ohm) + ". Computed by " +
                     version_text("stile-range") + chart_caution};
}

plots::ChartText map_text(const RangeCase& c, const tuner::MapGrid& grid, const std::string& title) {
  plots::ChartText text = chart_text(c, title);
  const double transmitter_ohm = c.source.z_ohm.real();
  if (grid.plane == tuner::MapPlane::reflection && grid.reference_ohm != transmitter_ohm)
    text.source = fmt::format("The plane is for {} ohm, not for the transmitter's {}{}. ", figure(grid.reference_ohm),
                              figure(transmitter_ohm),
                              c.reference_stated ? "" : ", so that loads at the rim of that plane stand apart") +
                  text.source;
  return text;
}

plots::RangeGrid plot_grid(const tuner::MapGrid& grid) {
  const bool round = grid.plane == tuner::MapPlane::reflection;
  return {round ? plots::RangePlane::reflection : plots::RangePlane::impedance,
          grid.x_low,
          grid.x_high,
          grid.y_low,
          grid.y_high,
          grid.columns,
          grid.rows,
          grid.reference_ohm,
          grid.logarithmic_r};
}

std::vector<plots::RangeMark> marks_of(const RangeCase& c, double frequency_hz) {
  std::vector<plots::RangeMark> marks;
  for (const tuner::NamedLoad& named : c.loads)
    marks.push_back({load::load_impedance(named.load, frequency_hz), named.name});
  return marks;
}

/// "at 7.1 MHz", or "at the middle of each band".
std::string when(const RangeCase& c) {
  return c.bands.size() == 1 ? "at " + print_quantity(c.bands.front().middle_hz, Unit::hertz, 7)
                             : "at the middle of each band";
}

plots::RangeQuantity heat_scale() {
  return {"heat in the tuner's parts, dB", 0.1, 10.0, true, {0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 6.0, 10.0}};
}

double lowest_hz(const RangeCase& c) {
  double lowest = network::infinite;
  for (const tuner::BandPoints& band : c.bands) lowest = std::min(lowest, band.frequency_hz.front());
  return lowest;
}

std::string tuner_text(const tuner::Tuner& tuner) {
  return fmt::format("{}, {} states", tuner.name, tuner::state_count(tuner));
}

plots::Chart map_chart(const RangeCase& c, const std::vector<tuner::RangeMap>& maps,
                       const std::vector<tuner::RangeMap>& least_swr, MapKind kind) {
  const bool classes = kind == MapKind::matchable || kind == MapKind::limiting_part;
  const PartClasses parts(c.tuner, maps);
  std::vector<plots::RangePanel> panels;
  for (std::size_t n = 0; n < maps.size(); ++n) {
    plots::RangePanel panel;
    const double frequency_hz = maps[n].frequency_hz;
    if (maps.size() > 1) panel.title = c.bands[n].name + ": " + print_quantity(frequency_hz, Unit::hertz, 7);
    for (const tuner::MapCell& cell : least_swr[n].cells)
      panel.swr.push_back(cell.status == tuner::TunerStatus::not_run ? none : cell.swr);
    for (const tuner::MapCell& cell : maps[n].cells) {
      if (!classes) panel.values.push_back(cell_value(cell, kind));
      if (kind == MapKind::limiting_part) panel.values.push_back(parts.index(cell));
      if (kind == MapKind::matchable)
        panel.values.push_back(cell.status == tuner::TunerStatus::not_run ? none
                               : cell.status == tuner::TunerStatus::found ? 0.0
                                                                          : 1.0);
    }
    panel.marks = marks_of(c, frequency_hz);
    panels.push_back(std::move(panel));
  }
  const plots::RangeGrid grid = plot_grid(maps.front().grid);
  const plots::ChartText text = map_text(c, maps.front().grid, map_title(c, kind));
  if (!classes) return plots::range_map_chart(panels, grid, quantity_of(kind), c.swr_limit, text);
  const std::vector<std::string> matchable{"matched within SWR " + figure(c.swr_limit), "no state within the limit"};
  return plots::range_class_chart(panels, grid, kind == MapKind::matchable ? matchable : parts.names(), c.swr_limit,
                                  text);
}

plots::Chart sweeps_chart(const RangeCase& c, const tuner::RangeSurvey& survey) {
  std::vector<plots::SwrPanel> panels;
  for (const tuner::SweepAnswer& sweep : survey.sweeps) {
    if (panels.empty() || panels.back().title != sweep.band) panels.push_back({sweep.band, {}, 0.0, 0.0});
    plots::SwrCurve curve{sweep.load, sweep.range.frequency_hz, {}};
    for (const tuner::MapCell& cell : sweep.range.cells) curve.swr.push_back(cell.swr);
    panels.back().curves.push_back(std::move(curve));
  }
  return plots::swr_chart(
      panels, c.swr_limit,
      chart_text(c, "SWR at the transmitter in the state of least SWR at each frequency: " + tuner_text(c.tuner)));
}

plots::Chart greedy_chart(const RangeCase& c, const tuner::MapGrid& grid, double frequency_hz,
                          const std::vector<tuner::GreedyReach>& reach) {
  plots::RangePanel panel;
  for (const tuner::GreedyReach r : reach)
    panel.values.push_back(r == tuner::GreedyReach::no_load ? none : static_cast<double>(r));
  panel.marks = marks_of(c, frequency_hz);
  return plots::range_class_chart({panel}, plot_grid(grid),
                                  {"the walk ends within SWR " + figure(c.swr_limit),
                                   "some state is within it, the walk stops at a false minimum",
                                   "no state is within it"},
                                  c.swr_limit,
                                  map_text(c, grid,
                                           "What a search led by the SWR alone reaches: " + tuner_text(c.tuner) +
                                               ", at " + print_quantity(frequency_hz, Unit::hertz, 7)));
}

plots::Chart sizing_chart(const RangeCase& c, const tuner::SizingResult& result) {
  std::vector<plots::TradeOffPoint> points;
  for (const tuner::Sizing& s : result.trade_off) {
    points.push_back({s.relays, s.worst_swr, fmt::format("{} L {} C", s.inductor_bits, s.capacitor_bits)});
  }
  return plots::trade_off_chart(
      points, c.swr_limit,
      chart_text(c, fmt::format("Worst SWR over {} {} at {} {} against the relays of a binary bank in the frame of {}",
                                c.loads.size(), c.loads.size() == 1 ? "load" : "loads", c.bands.size(),
                                c.bands.size() == 1 ? "frequency" : "frequencies", c.tuner.name)));
}

plots::Chart whip_chart(const RangeCase& c, const tuner::WhipQuestion& question, const tuner::ShortWhipStudy& all) {
  const std::vector<double>&length_m = all.length_m, &frequency_hz = all.frequency_hz;
  const tuner::WhipStudy& study = all.study;
  plots::WhipMap map{frequency_hz, length_m, {}, {}, {}};
  map.loss_db.assign(length_m.size() * frequency_hz.size(), none);
  map.swr = map.loss_db;
  const auto place = [](const std::vector<double>& axis, double value) {
    return static_cast<std::size_t>(std::lower_bound(axis.begin(), axis.end(), value) - axis.begin());
  };
  for (const tuner::WhipStudyCell& cell : study.cells) {
    const std::size_t at = place(frequency_hz, cell.frequency_hz) * length_m.size() + place(length_m, cell.length_m);
    map.loss_db[at] = cell.tuner_transducer_db;
    map.swr[at] = cell.swr;
  }
  std::vector<plots::WhipMapPoint> line;
  const auto end_line = [&] {
    if (line.size() > 1) map.break_even.push_back(line);
    line.clear();
  };
  for (const tuner::BreakEven& b : study.break_even) {
    if (b.length_m) {
      line.push_back({b.frequency_hz, *b.length_m});
    } else {
      end_line();
    }
  }
  end_line();
  std::string verdict;
  if (map.break_even.empty()) {
    const auto wins = std::count_if(study.break_even.begin(), study.break_even.end(),
                                    [](const tuner::BreakEven& b) { return b.coil_wins_shortest; });
    const char* where = wins == 0                                                      ? "no length"
                        : wins == static_cast<std::ptrdiff_t>(study.break_even.size()) ? "every length"
                                                                                       : "";
    if (*where != '\0')
      verdict = fmt::format("; a base coil of Q {} loses less at {}", figure(question.step.coil_q), where);
  } else {
    verdict = fmt::format("; base coil: Q {}", figure(question.step.coil_q));
  }
  return plots::whip_map_chart(
      map, c.swr_limit,
      chart_text(
          c, fmt::format("Loss, mismatch included, of {} at the foot of a whip {} thick with {} of wire (ground: {}){}",
                         tuner_text(c.tuner), print_quantity(2.0 * question.radius_m, Unit::metre),
                         print_quantity(question.counterpoise_m, Unit::metre), wire::ground_words(question.ground),
                         verdict)));
}

}  // namespace stile::tools
