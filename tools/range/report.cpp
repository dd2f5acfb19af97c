#include "range/report.hpp"

#include <algorithm>
#include <limits>
#include <memory>
#include <utility>

#include <fmt/core.h>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

bool found(const tuner::TunerSetting& s) { return s.status == tuner::TunerStatus::found; }
const char* side_name(tuner::CapacitorSide side) { return side == tuner::CapacitorSide::load ? "load" : "transmitter"; }

const char* status_name(tuner::TunerStatus status) {
  switch (status) {
  case tuner::TunerStatus::found:
    return "found";
  case tuner::TunerStatus::out_of_reach:
    return "out_of_reach";
  case tuner::TunerStatus::not_run:
    break;
  }
  return "not_run";
}

/// "3.2 uH, 150 pF at the load".
std::string state_text(const tuner::Tuner& tuner, const tuner::TunerState& s) {
  const auto l = [](double h) { return print_quantity(h, Unit::henry, 4); };
  const auto f = [](double c) { return print_quantity(c, Unit::farad, 4); };
  switch (tuner.form) {
  case tuner::TunerForm::l:
    return l(s.inductance_h) + ", " + f(s.capacitance_f) + " at the " + side_name(s.side);
  case tuner::TunerForm::lcl:
    return l(s.inductance_h) + ", " + f(s.capacitance_f) + ", " + l(s.load_inductance_h);
  case tuner::TunerForm::t:
  case tuner::TunerForm::pi_network:
    break;
  }
  return f(s.capacitance_f) + ", " + l(s.inductance_h) + ", " + f(s.load_capacitance_f);
}

Json json_state(const tuner::Tuner& tuner, const tuner::TunerState& s) {
  Json j{{"index", s.index}};
  if (tuner.form == tuner::TunerForm::lcl) {
    j["inductances_h"] = {s.inductance_h, s.load_inductance_h};
  } else {
    j["inductance_h"] = s.inductance_h;
  }
  if (tuner.form == tuner::TunerForm::t || tuner.form == tuner::TunerForm::pi_network) {
    j["capacitances_f"] = {s.capacitance_f, s.load_capacitance_f};
  } else {
    j["capacitance_f"] = s.capacitance_f;
  }
  if (tuner.form == tuner::TunerForm::l) j["capacitor_side"] = side_name(s.side);
  return j;
}

const char* kind_name(tuner::StressKind kind) {
  return kind == tuner::StressKind::voltage   ? "voltage_v_peak"
         : kind == tuner::StressKind::current ? "current_a_rms"
                                              : "dissipation_w";
}

Json json_stress(const tuner::Tuner& tuner, const tuner::WorstStress& stress) {
  if (stress.factor == 0.0) return {{"factor", nullptr}, {"what", "no rating stated"}};
  Json j{{"factor", stress.factor},
         {"arm", tuner::arm_name(tuner, stress.arm)},
         {"part", nullptr},
         {"kind", kind_name(stress.kind)},
         {"value", stress.value},
         {"rating", stress.rating},
         {"what", tuner::stress_text(tuner, stress)}};
  if (stress.part) j["part"] = *stress.part + 1;
  return j;
}

Json json_answer(const tuner::Tuner& tuner, const tuner::StateAnswer& a) {
  const tuner::TunerSetting& s = a.setting;
  if (!found(s))
    return {{"status", status_name(s.status)},
            {"state", nullptr},
            {"swr", nullptr},
            {"dissipation_db", nullptr},
            {"transducer_db", nullptr},
            {"load_voltage_v_peak", nullptr},
            {"stress", nullptr}};
  Json j{{"status", "found"},
         {"state", json_state(tuner, s.state)},
         {"swr", s.swr},
         {"dissipation_db", s.dissipation_db},
         {"transducer_db", a.transducer_db},
         {"load_voltage_v_peak", a.load_voltage_v_peak}};
  j["stress"] = a.stress ? json_stress(tuner, *a.stress) : Json();
  return j;
}

Json json_sweep_point(const tuner::Tuner& tuner, double frequency_hz, const tuner::MapCell& cell) {
  return {{"frequency_hz", frequency_hz},
          {"load_ohm", json_complex(cell.z_load_ohm)},
          {"status", status_name(cell.status)},
          {"index", cell.index},
          {"swr", cell.swr},
          {"dissipation_db", cell.dissipation_db},
          {"stress", json_stress(tuner, cell.stress)}};
}

/// null where no load stands.
Json json_map_cell(const tuner::Tuner& tuner, const tuner::MapCell& cell) {
  if (cell.status == tuner::TunerStatus::not_run) return nullptr;
  const bool rated = cell.stress.factor > 0.0;
  return {{"load_ohm", json_complex(cell.z_load_ohm)},
          {"matched", cell.status == tuner::TunerStatus::found},
          {"index", cell.index},
          {"swr", cell.swr},
          {"dissipation_db", cell.dissipation_db},
          {"stress_factor", rated ? Json(cell.stress.factor) : Json()},
          {"limiting_part", rated ? Json(tuner::stress_text(tuner, cell.stress)) : Json()}};
}

Json json_head(const RangeCase& c) {
  Json j;
  j["tool"] = "stile-range";
  j["version"] = version();
  j["tuner"] = c.tuner.name;
  j["states"] = tuner::state_count(c.tuner);
  j["source"] = {{"impedance_ohm", json_complex(c.source.z_ohm)}, {"power_w", c.source.power_w}};
  j["swr_limit"] = c.swr_limit;
  return j;
}

std::string form_text(const tuner::Tuner& tuner) {
  switch (tuner.form) {
  case tuner::TunerForm::t:
    return "capacitors, inductors across, capacitors";
  case tuner::TunerForm::pi_network:
    return "capacitors across, inductors, capacitors across";
  case tuner::TunerForm::lcl:
    return "inductors, capacitors across, inductors";
  case tuner::TunerForm::l:
    break;
  }
  const char* side = tuner.capacitor_at_transmitter && tuner.capacitor_at_load ? "either side"
                     : tuner.capacitor_at_load                                 ? "the load's side"
                                                                               : "the transmitter's side";
  return std::string("inductors in series, capacitors across on ") + side;
}

std::string head_text(const RangeCase& c) {
  return wrapped(fmt::format("{}: {}; {}. {} from {}, SWR limit {}.", tuner_text(c.tuner), form_text(c.tuner),
                             "loads stand at its output", print_quantity(c.source.power_w, Unit::watt),
                             impedance_text(c.source.z_ohm), figure(c.swr_limit)),
                 0, 112);
}

std::string stress_cell(const tuner::Tuner& tuner, const tuner::StateAnswer& a) {
  if (!a.stress) return "";
  if (a.stress->factor == 0.0) return "no rating stated";
  return tuner::stress_text(tuner, *a.stress) + (a.stress->factor > 1.0 ? "  OVER" : "");
}

void add_rows(std::vector<std::vector<std::string>>& rows, const tuner::Tuner& tuner, const tuner::LoadAnswer& a) {
  const auto add = [&](const std::string& head, const char* what, const tuner::StateAnswer& s) {
    if (!found(s.setting)) {
      rows.push_back({head, what, "-", "-", "-", "no state within the limit"});
      return;
    }
    rows.push_back({head, what, figure(s.transducer_db), figure(s.setting.dissipation_db), figure(s.setting.swr),
                    state_text(tuner, s.setting.state), stress_cell(tuner, s)});
  };
  const std::string z = print_impedance(a.z_ohm);
  add(a.load == impedance_text(a.z_ohm) ? z : a.load + ", " + z, "most delivered", a.most_delivered);
  add("", "least SWR", a.least_swr);
  add("", "least heat", a.least_loss);
  if (tuner::has_ratings(tuner)) add("", "least stress", a.least_stress);
}

std::string loads_text(const RangeCase& c, const tuner::RangeSurvey& survey) {
  std::string text;
  for (const tuner::BandPoints& band : c.bands) {
    std::vector<std::vector<std::string>> rows{
        {"load, ohm", "state of", "loss, dB", "of it heat", "SWR", "state", "worst part"}};
    for (const tuner::LoadAnswer& a : survey.loads) {
      if (a.band == band.name) add_rows(rows, c.tuner, a);
    }
    const std::string at = band.name == tuner::frequency_name(band.middle_hz)
                               ? band.name
                               : band.name + ", at " + tuner::frequency_name(band.middle_hz);
    if (rows.size() > 1) text += "\n" + at + "\n" + aligned(rows);
  }
  if (!text.empty()) {
    text +=
        wrapped("Loss: from available to delivered power, the heat in the tuner's parts and what the SWR reflects. "
                "Most delivered, least heat and least stress are of the states within the SWR limit (most delivered: "
                "of all states where none is within), least SWR is of all; proven over every state.",
                0, 112);
  }
  return text;
}

std::string sweeps_text(const tuner::RangeSurvey& survey) {
  if (survey.sweeps.empty()) return "";
  std::string text = "\nHoles in the range, tuned anew at each frequency\n";
  std::vector<std::vector<std::string>> rows{{"band", "load", "from", "to", "worst SWR"}};
  std::size_t whole = 0;
  for (const tuner::SweepAnswer& s : survey.sweeps) {
    if (s.range.holes.empty()) ++whole;
    for (const tuner::RangeHole& hole : s.range.holes) {
      rows.push_back({s.band, s.load, tuner::frequency_name(hole.low_hz), tuner::frequency_name(hole.high_hz),
                      figure(hole.worst_swr)});
    }
  }
  if (rows.size() > 1) text += aligned(rows);
  return text + fmt::format("{} of {} sweeps are without a hole, at {} frequencies each or more.\n", whole,
                            survey.sweeps.size(),
                            std::min_element(survey.sweeps.begin(), survey.sweeps.end(),
                                             [](const tuner::SweepAnswer& a, const tuner::SweepAnswer& b) {
                                               return a.range.cells.size() < b.range.cells.size();
                                             })
                                ->range.cells.size());
}

std::string coverage_text(const tuner::RangeSurvey& survey) {
  std::vector<std::vector<std::string>> rows{{"coverage at", "load SWR", "within 1.5", "within 2", "within 3"}};
  for (const tuner::CoverageAt& at : survey.coverage) {
    for (std::size_t n = 0; n + 2 < at.shares.size(); n += 3) {
      std::vector<std::string> row{n == 0 ? tuner::frequency_name(at.frequency_hz) : "", figure(at.shares[n].load_swr)};
      for (std::size_t k = 0; k < 3; ++k) row.push_back(fmt::format("{:.1f} %", 100.0 * at.shares[n + k].fraction));
      rows.push_back(std::move(row));
    }
  }
  return "\n" + aligned(rows) +
         "Share of the loads on a circle of that SWR, by angle of their reflection, that some state brings to the "
         "limit.\n";
}

/// Cells of a state: index, values, side.
const std::vector<std::string> state_heading{"state_index",   "inductance_h",       "load_inductance_h",
                                             "capacitance_f", "load_capacitance_f", "capacitor_side"};

std::vector<std::string> state_cells(const tuner::Tuner& tuner, const tuner::TunerState& s) {
  const bool twice = tuner.form == tuner::TunerForm::t || tuner.form == tuner::TunerForm::pi_network;
  return {std::to_string(s.index),
          csv_number(s.inductance_h),
          tuner.form == tuner::TunerForm::lcl ? csv_number(s.load_inductance_h) : "",
          csv_number(s.capacitance_f),
          twice ? csv_number(s.load_capacitance_f) : "",
          tuner.form == tuner::TunerForm::l ? side_name(s.side) : ""};
}

void append(std::vector<std::string>& row, const std::vector<std::string>& more) {
  row.insert(row.end(), more.begin(), more.end());
}

std::vector<std::string> stress_cells(const tuner::Tuner& tuner, const tuner::WorstStress& stress) {
  return stress.factor == 0.0
             ? std::vector<std::string>{"", ""}
             : std::vector<std::string>{csv_number(stress.factor), csv_text(tuner::stress_text(tuner, stress))};
}

std::string caution_notes(const RangeCase& c) { return cautions_csv(range_cautions(c, {})); }

}  // namespace

std::vector<safety::Caution> range_cautions(const RangeCase& c, const std::vector<tuner::LoadAnswer>& loads) {
  safety::CautionCase facts;
  facts.power_w = c.source.power_w;
  facts.automatic_tuner = true;
  facts.whip_on_body = c.whip_on_body;
  facts.frequency_hz = lowest_hz(c);
  if (const tuner::LoadVoltage highest = tuner::highest_load_voltage(loads); highest.v_peak > 0.0) {
    facts.load_voltage_v_peak = highest.v_peak;
    facts.load_voltage_where = highest.band + ", " + highest.load;
  }
  return safety::cautions(facts);
}

std::string range_text(const RangeCase& c, const tuner::RangeSurvey& survey) {
  return head_text(c) + loads_text(c, survey) + sweeps_text(survey) + coverage_text(survey) + "\n" +
         cautions_in_short(range_cautions(c, survey.loads));
}

Pieces range_json(RangeCase range_case, tuner::RangeSurvey answers, std::vector<tuner::RangeMap> maps_drawn) {
  struct Written {
    RangeCase c;
    tuner::RangeSurvey survey;
    std::vector<tuner::RangeMap> maps;
  };
  const auto written =
      std::make_shared<const Written>(Written{std::move(range_case), std::move(answers), std::move(maps_drawn)});
  const RangeCase& c = written->c;
  const tuner::RangeSurvey& survey = written->survey;
  const std::vector<tuner::RangeMap>& maps = written->maps;
  std::vector<JsonArray> long_arrays;
  Json j = json_head(c);
  j["loads"] = Json::array();
  for (const tuner::LoadAnswer& a : survey.loads) {
    j["loads"].push_back({{"load", a.load},
                          {"band", a.band},
                          {"frequency_hz", a.frequency_hz},
                          {"load_ohm", json_complex(a.z_ohm)},
                          {"most_delivered", json_answer(c.tuner, a.most_delivered)},
                          {"least_swr", json_answer(c.tuner, a.least_swr)},
                          {"least_loss", json_answer(c.tuner, a.least_loss)},
                          {"least_stress", json_answer(c.tuner, a.least_stress)},
                          {"load_voltage_v_peak", found(a.least_loss.setting) ? a.least_loss.load_voltage_v_peak
                                                                              : a.least_swr.load_voltage_v_peak}});
  }
  j["coverage"] = Json::array();
  for (const tuner::CoverageAt& at : survey.coverage) {
    for (const tuner::Coverage& share : at.shares) {
      j["coverage"].push_back({{"band", at.band},
                               {"frequency_hz", at.frequency_hz},
                               {"load_swr", share.load_swr},
                               {"swr_limit", share.swr_limit},
                               {"fraction", share.fraction}});
    }
  }
  j["sweeps"] = Json::array();
  for (std::size_t n = 0; n < survey.sweeps.size(); ++n) {
    const tuner::SweepAnswer& s = survey.sweeps[n];
    Json holes = Json::array();
    for (const tuner::RangeHole& hole : s.range.holes)
      holes.push_back({{"low_hz", hole.low_hz}, {"high_hz", hole.high_hz}, {"worst_swr", hole.worst_swr}});
    j["sweeps"].push_back({{"band", s.band}, {"load", s.load}, {"points", Json::array()}, {"holes", std::move(holes)}});
    long_arrays.push_back({fmt::format("/sweeps/{}/points", n), s.range.cells.size(), [written, n](std::size_t k) {
                             const tuner::BandRange& range = written->survey.sweeps[n].range;
                             return json_sweep_point(written->c.tuner, range.frequency_hz[k], range.cells[k]);
                           }});
  }
  if (!maps.empty()) j["maps"] = Json::array();
  for (std::size_t n = 0; n < maps.size(); ++n) {
    const tuner::RangeMap& map = maps[n];
    j["maps"].push_back({{"frequency_hz", map.frequency_hz},
                         {"plane", map.grid.plane == tuner::MapPlane::reflection ? "reflection" : "rx"},
                         {"x", {map.grid.x_low, map.grid.x_high}},
                         {"x_scale", map.grid.logarithmic_r ? "logarithmic" : "linear"},
                         {"y", {map.grid.y_low, map.grid.y_high}},
                         {"columns", map.grid.columns},
                         {"rows", map.grid.rows},
                         {"reference_ohm", map.grid.reference_ohm},
                         {"cells", Json::array()}});
    long_arrays.push_back({fmt::format("/maps/{}/cells", n), map.cells.size(), [written, n](std::size_t k) {
                             return json_map_cell(written->c.tuner, written->maps[n].cells[k]);
                           }});
  }
  j["cautions"] = cautions_json(range_cautions(c, survey.loads));
  return json_pieces(std::move(j), std::move(long_arrays));
}

std::string range_csv(const RangeCase& c, const tuner::RangeSurvey& survey) {
  std::vector<std::string> heading{"band", "load", "frequency_hz", "load_r_ohm", "load_x_ohm", "best", "status"};
  append(heading, state_heading);
  append(heading, {"swr", "dissipation_db", "stress_factor", "worst_part", "transducer_db"});
  std::string text = csv_row(heading);
  const auto add = [&](const std::string& band, const std::string& load, double f, cdouble z, const char* best,
                       const tuner::StateAnswer& a) {
    std::vector<std::string> row{csv_text(band),
                                 csv_text(load),
                                 csv_number(f),
                                 csv_number(z.real()),
                                 csv_number(z.imag()),
                                 best,
                                 status_name(a.setting.status)};
    if (found(a.setting) || a.stress) {
      append(row, state_cells(c.tuner, a.setting.state));
      append(row, {csv_number(a.setting.swr), csv_number(a.setting.dissipation_db)});
      append(row, stress_cells(c.tuner, a.stress.value_or(tuner::WorstStress{})));
      row.push_back(csv_number(a.transducer_db));
    } else {
      row.resize(heading.size());
    }
    text += csv_row(row);
  };
  for (const tuner::LoadAnswer& a : survey.loads) {
    add(a.band, a.load, a.frequency_hz, a.z_ohm, "delivered", a.most_delivered);
    add(a.band, a.load, a.frequency_hz, a.z_ohm, "swr", a.least_swr);
    add(a.band, a.load, a.frequency_hz, a.z_ohm, "loss", a.least_loss);
    add(a.band, a.load, a.frequency_hz, a.z_ohm, "stress", a.least_stress);
  }
  for (const tuner::SweepAnswer& s : survey.sweeps) {
    for (std::size_t n = 0; n < s.range.cells.size(); ++n) {
      const tuner::MapCell& cell = s.range.cells[n];
      const tuner::StateAnswer a{{cell.status, tuner::tuner_state(c.tuner, cell.index), cell.swr, cell.dissipation_db},
                                 tuner::transducer_db(cell.swr, cell.dissipation_db),
                                 0.0,
                                 cell.stress};
      add(s.band, s.load, s.range.frequency_hz[n], cell.z_load_ohm, "sweep", a);
    }
  }
  for (const tuner::SweepAnswer& s : survey.sweeps) {
    for (const tuner::RangeHole& hole : s.range.holes) {
      text += fmt::format("# hole: {}, {}: {} Hz to {} Hz, worst SWR {}\n", s.band, s.load, hole.low_hz, hole.high_hz,
                          hole.worst_swr);
    }
  }
  for (const tuner::CoverageAt& at : survey.coverage) {
    for (const tuner::Coverage& share : at.shares) {
      text += fmt::format("# coverage: {} Hz, load SWR {}, limit {}: {}\n", at.frequency_hz, share.load_swr,
                          share.swr_limit, share.fraction);
    }
  }
  return text + cautions_csv(range_cautions(c, survey.loads));
}

std::string maps_csv(const RangeCase& c, const std::vector<tuner::RangeMap>& maps) {
  std::string text =
      "frequency_hz,x,y,load_r_ohm,load_x_ohm,matched,state_index,swr,dissipation_db,stress_factor,limiting_part\n";
  for (const tuner::RangeMap& map : maps) {
    const tuner::MapGrid& grid = map.grid;
    for (std::size_t n = 0; n < map.cells.size(); ++n) {
      const tuner::MapCell& cell = map.cells[n];
      if (cell.status == tuner::TunerStatus::not_run) continue;
      const cdouble at = tuner::cell_point(grid, n % grid.columns, n / grid.columns);
      std::vector<std::string> row{csv_number(map.frequency_hz),
                                   csv_number(at.real()),
                                   csv_number(at.imag()),
                                   csv_number(cell.z_load_ohm.real()),
                                   csv_number(cell.z_load_ohm.imag()),
                                   cell.status == tuner::TunerStatus::found ? "1" : "0",
                                   std::to_string(cell.index),
                                   csv_number(cell.swr),
                                   csv_number(cell.dissipation_db)};
      append(row, stress_cells(c.tuner, cell.stress));
      text += csv_row(row);
    }
  }
  for (const tuner::RangeMap& map : maps) {
    if (map.grid.plane == tuner::MapPlane::reflection)
      text += fmt::format("# reference: {} Hz, x and y are reflection against {} ohm\n", map.frequency_hz,
                          map.grid.reference_ohm);
  }
  return text + caution_notes(c);
}

std::string range_reason(const RangeCase& c, const tuner::RangeSurvey& survey) {
  std::string reason;
  const auto add = [&](const std::string& more) { reason += (reason.empty() ? "" : "; ") + more; };
  for (const tuner::LoadAnswer& a : survey.loads) {
    if (!found(a.least_loss.setting)) {
      add(fmt::format("{} at {}: least SWR {}, limit {}", a.load, tuner::frequency_name(a.frequency_hz),
                      figure(a.least_swr.setting.swr), figure(c.swr_limit)));
    } else if (a.least_stress.stress && a.least_stress.stress->factor > 1.0) {
      add(fmt::format("{} at {}: over a rating in every state within the limit, at least {}", a.load,
                      tuner::frequency_name(a.frequency_hz), tuner::stress_text(c.tuner, *a.least_stress.stress)));
    }
  }
  std::size_t holes = 0;
  for (const tuner::SweepAnswer& s : survey.sweeps) holes += s.range.holes.size();
  if (holes > 0) add(fmt::format("{} {} in the range", holes, holes == 1 ? "hole" : "holes"));
  return reason;
}

std::string greedy_text(const RangeCase& c, const std::vector<tuner::GreedyAnswer>& answers) {
  std::vector<std::vector<std::string>> rows{
      {"load", "at", "walk ends at SWR", "heat, dB", "readings", "least SWR of all", "heat, dB", "dead ends", ""}};
  for (const tuner::GreedyAnswer& a : answers) {
    const tuner::GreedyResult& g = a.result;
    rows.push_back({a.load, tuner::frequency_name(a.frequency_hz), figure(g.swr), figure(g.dissipation_db),
                    std::to_string(g.measurements), figure(g.true_least_swr), figure(a.best.setting.dissipation_db),
                    std::to_string(a.minima.empty() ? 0 : a.minima.size() - 1),
                    g.false_minimum                         ? "false minimum"
                    : g.status == tuner::TunerStatus::found ? "within the limit"
                                                            : "out of reach"});
  }
  std::string text = head_text(c) + "\n" + aligned(rows);
  for (const tuner::GreedyAnswer& a : answers) {
    text += a.load + " at " + tuner::frequency_name(a.frequency_hz) + ": walk " + state_text(c.tuner, a.result.state) +
            "; least SWR " + state_text(c.tuner, a.best.setting.state) + "\n";
  }
  text += wrapped("The walk starts at by-pass, sets each arm to one of its parts alone, and then steps each arm up or "
                  "down as long as the SWR "
                  "falls. It is ours, of the kind that is common practice; a given tuner's may differ. Dead ends: "
                  "states, beside the best, "
                  "that no single step of one arm improves.",
                  0, 112);
  return text + "\n" + cautions_in_short(range_cautions(c, {}));
}

std::string greedy_json(const RangeCase& c, const std::vector<tuner::GreedyAnswer>& answers) {
  constexpr std::size_t most_minima = 100;
  Json j = json_head(c);
  j["greedy"] = Json::array();
  for (const tuner::GreedyAnswer& a : answers) {
    Json minima = Json::array();
    for (std::size_t n = 0; n < std::min(a.minima.size(), most_minima); ++n)
      minima.push_back({{"index", a.minima[n].index}, {"swr", a.minima[n].swr}});
    j["greedy"].push_back({{"load", a.load},
                           {"frequency_hz", a.frequency_hz},
                           {"load_ohm", json_complex(a.z_ohm)},
                           {"status", status_name(a.result.status)},
                           {"state", json_state(c.tuner, a.result.state)},
                           {"swr", a.result.swr},
                           {"dissipation_db", a.result.dissipation_db},
                           {"measurements", a.result.measurements},
                           {"true_least_swr", a.result.true_least_swr},
                           {"best", json_answer(c.tuner, a.best)},
                           {"false_minimum", a.result.false_minimum},
                           {"local_minima_count", a.minima.size()},
                           {"local_minima", std::move(minima)}});
  }
  j["cautions"] = cautions_json(range_cautions(c, {}));
  return json_text(j);
}

std::string greedy_csv(const RangeCase& c, const std::vector<tuner::GreedyAnswer>& answers) {
  std::vector<std::string> heading{"load", "frequency_hz", "load_r_ohm", "load_x_ohm"};
  append(heading, state_heading);
  append(heading, {"swr", "dissipation_db", "measurements", "true_least_swr", "best_dissipation_db", "false_minimum",
                   "local_minima"});
  std::string text = csv_row(heading);
  for (const tuner::GreedyAnswer& a : answers) {
    std::vector<std::string> row{csv_text(a.load), csv_number(a.frequency_hz), csv_number(a.z_ohm.real()),
                                 csv_number(a.z_ohm.imag())};
    append(row, state_cells(c.tuner, a.result.state));
    append(row, {csv_number(a.result.swr), csv_number(a.result.dissipation_db), std::to_string(a.result.measurements),
                 csv_number(a.result.true_least_swr), csv_number(a.best.setting.dissipation_db),
                 a.result.false_minimum ? "1" : "0", std::to_string(a.minima.size())});
    text += csv_row(row);
  }
  return text + caution_notes(c);
}

std::string greedy_reason(const RangeCase& c, const std::vector<tuner::GreedyAnswer>& answers) {
  std::string reason;
  for (const tuner::GreedyAnswer& a : answers) {
    if (a.result.status == tuner::TunerStatus::found) continue;
    reason += fmt::format("{}{} at {}: the walk ends at SWR {}, limit {}{}", reason.empty() ? "" : "; ", a.load,
                          tuner::frequency_name(a.frequency_hz), figure(a.result.swr), figure(c.swr_limit),
                          a.result.false_minimum ? ", a false minimum" : "");
  }
  return reason;
}

std::string sizing_text(const RangeCase& c, const tuner::SizingResult& result, std::size_t loads) {
  std::string text =
      wrapped(fmt::format("Binary banks in the frame of {} ({}): fewest relays for SWR {} over {} loads.", c.tuner.name,
                          form_text(c.tuner), figure(c.swr_limit), loads),
              0, 112);
  std::vector<std::vector<std::string>> rows{
      {"relays", "inductors", "from", "to", "capacitors", "from", "to", "worst SWR", ""}};
  for (const tuner::Sizing& s : result.trade_off) {
    const bool fewest = result.status == tuner::TunerStatus::found && s.relays == result.fewest.relays;
    rows.push_back({std::to_string(s.relays), std::to_string(s.inductor_bits), print_quantity(s.step_h, Unit::henry),
                    print_quantity(tuner::largest_part(s.step_h, s.inductor_bits), Unit::henry),
                    std::to_string(s.capacitor_bits), print_quantity(s.step_f, Unit::farad),
                    print_quantity(tuner::largest_part(s.step_f, s.capacitor_bits), Unit::farad), figure(s.worst_swr),
                    fewest ? "<- fewest" : ""});
  }
  text += "\n" + aligned(rows);
  text += "Each part twice the one before; relays: one a part, and one for the side of an L that has both.\n";
  return text + "\n" + cautions_in_short(range_cautions(c, {}));
}

namespace {
Json json_sizing(const tuner::Sizing& s) {
  return {{"relays", s.relays},
          {"inductor_bits", s.inductor_bits},
          {"capacitor_bits", s.capacitor_bits},
          {"step_h", s.step_h},
          {"step_f", s.step_f},
          {"worst_swr", s.worst_swr}};
}
}  // namespace

std::string sizing_json(const RangeCase& c, const tuner::SizingResult& result) {
  Json j = json_head(c);
  Json curve = Json::array();
  for (const tuner::Sizing& s : result.trade_off) curve.push_back(json_sizing(s));
  j["sizing"] = {{"status", status_name(result.status)},
                 {"fewest", result.status == tuner::TunerStatus::found ? json_sizing(result.fewest) : Json()},
                 {"trade_off", std::move(curve)}};
  j["cautions"] = cautions_json(range_cautions(c, {}));
  return json_text(j);
}

std::string sizing_csv(const RangeCase& c, const tuner::SizingResult& result) {
  std::string text = "relays,inductor_bits,capacitor_bits,step_h,step_f,worst_swr,within_limit\n";
  for (const tuner::Sizing& s : result.trade_off) {
    text += csv_row({std::to_string(s.relays), std::to_string(s.inductor_bits), std::to_string(s.capacitor_bits),
                     csv_number(s.step_h), csv_number(s.step_f), csv_number(s.worst_swr),
                     s.worst_swr <= c.swr_limit ? "1" : "0"});
  }
  return text + caution_notes(c);
}

std::string whip_words(const tuner::WhipQuestion& q) {
  return fmt::format("Load: a whip {} thick, its foot {} up, with {} of wire {} over ground ({}){}, solved",
                     print_quantity(2.0 * q.radius_m, Unit::metre), print_quantity(q.base_height_m, Unit::metre),
                     print_quantity(q.counterpoise_m, Unit::metre), print_quantity(q.lying_height_m, Unit::metre),
                     wire::ground_words(q.ground), q.carried ? ", set and person" : "");
}

std::string whip_text(const RangeCase& c, const tuner::WhipQuestion& question, const tuner::ShortWhipStudy& all) {
  const tuner::WhipStudy& study = all.study;
  std::string text = head_text(c);
  text +=
      wrapped(whip_words(question) +
                  fmt::format(". Base coil: the L network of least loss to the transmitter, coils of Q {}, capacitors "
                              "of Q {}. Loss: from available to delivered power; antenna: from there to what is "
                              "radiated.",
                              figure(question.step.coil_q), figure(question.step.capacitor_q)),
              0, 112);
  std::vector<std::vector<std::string>> rows{{"frequency", "shortest within the limit", "tuner, dB", "coil, dB",
                                              "antenna, dB", "longest, m", "tuner, dB", "coil, dB", "antenna, dB",
                                              "a base coil loses less"}};
  std::size_t next = 0;
  for (const tuner::BreakEven& b : study.break_even) {
    const tuner::WhipStudyCell *shortest = nullptr, *longest = nullptr;
    for (; next < study.cells.size() && study.cells[next].frequency_hz == b.frequency_hz; ++next) {
      const tuner::WhipStudyCell& cell = study.cells[next];
      if (shortest == nullptr && cell.status == tuner::TunerStatus::found) shortest = &cell;
      longest = &cell;
    }
    const std::string verdict =
        b.length_m ? (b.coil_wins_shortest ? "up to " : "from ") + print_quantity(*b.length_m, Unit::metre, 3)
        : b.coil_wins_shortest ? "at every length"
                               : "at no length";
    rows.push_back({print_quantity(b.frequency_hz, Unit::hertz),
                    shortest ? print_quantity(shortest->length_m, Unit::metre, 3) : "none",
                    shortest ? figure(shortest->tuner_transducer_db) : "-", shortest ? figure(shortest->coil_db) : "-",
                    shortest ? figure(shortest->antenna_db()) : "-", longest ? figure(longest->length_m) : "-",
                    longest ? figure(longest->tuner_transducer_db) : "-", longest ? figure(longest->coil_db) : "-",
                    longest ? figure(longest->antenna_db()) : "-", verdict});
  }
  return text + "\n" + aligned(rows) + "\n" + cautions_in_short(range_cautions(c, {}));
}

std::string whip_json(const RangeCase& c, const tuner::WhipQuestion& question, const tuner::ShortWhipStudy& all) {
  const tuner::WhipStudy& study = all.study;
  Json j = json_head(c);
  Json cells = Json::array(), even = Json::array();
  for (const tuner::WhipStudyCell& cell : study.cells) {
    cells.push_back({{"length_m", cell.length_m},
                     {"frequency_hz", cell.frequency_hz},
                     {"load_ohm", json_complex(cell.z_ohm)},
                     {"status", status_name(cell.status)},
                     {"swr", cell.swr},
                     {"dissipation_db", cell.tuner_dissipation_db},
                     {"transducer_db", cell.tuner_transducer_db},
                     {"coil_db", cell.coil_db},
                     {"coil_match", cell.coil_match},
                     {"radiated_share", cell.radiated}});
  }
  for (const tuner::BreakEven& b : study.break_even) {
    even.push_back({{"frequency_hz", b.frequency_hz},
                    {"length_m", b.length_m.value_or(none)},
                    {"coil_wins_shortest", b.coil_wins_shortest}});
  }
  j["whip_study"] = {{"radius_m", question.radius_m},
                     {"base_height_m", question.base_height_m},
                     {"counterpoise_m", question.counterpoise_m},
                     {"lying_height_m", question.lying_height_m},
                     {"relative_permittivity", question.ground.relative_permittivity},
                     {"conductivity_s_m", question.ground.conductivity_s_m},
                     {"carried", question.carried},
                     {"coil_q", question.step.coil_q},
                     {"capacitor_q", question.step.capacitor_q},
                     {"cells", std::move(cells)},
                     {"break_even", std::move(even)}};
  j["cautions"] = cautions_json(range_cautions(c, {}));
  return json_text(j);
}

std::string whip_csv(const RangeCase& c, const tuner::ShortWhipStudy& all) {
  const tuner::WhipStudy& study = all.study;
  std::string text =
      "frequency_hz,length_m,load_r_ohm,load_x_ohm,status,swr,dissipation_db,transducer_db,coil_db,radiated_share\n";
  for (const tuner::WhipStudyCell& cell : study.cells) {
    text += csv_row({csv_number(cell.frequency_hz), csv_number(cell.length_m), csv_number(cell.z_ohm.real()),
                     csv_number(cell.z_ohm.imag()), status_name(cell.status), csv_number(cell.swr),
                     csv_number(cell.tuner_dissipation_db), csv_number(cell.tuner_transducer_db),
                     csv_number(cell.coil_db), csv_number(cell.radiated)});
  }
  return text + caution_notes(c);
}

}  // namespace stile::tools
