#include "range/turned.hpp"

#include <algorithm>
#include <limits>

#include <fmt/core.h>

#include <stile/plots/range_map.hpp>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"
#include "range/charts.hpp"

namespace stile::tools {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

bool found(const tuner::ContinuousMatch& m) { return m.status == tuner::TunerStatus::found; }
bool two_capacitors(const tuner::ContinuousTuner& t) {
  return t.form == tuner::TunerForm::t || t.form == tuner::TunerForm::pi_network;
}
const char* side_name(tuner::CapacitorSide side) { return side == tuner::CapacitorSide::load ? "load" : "transmitter"; }

std::string setting_text(const tuner::ContinuousTuner& t, const tuner::ContinuousSetting& s) {
  const std::string l = print_quantity(s.inductance_h, Unit::henry), cap = print_quantity(s.capacitance_f, Unit::farad);
  if (t.form == tuner::TunerForm::l) return l + ", " + cap + " at the " + side_name(s.side);
  if (t.form == tuner::TunerForm::lcl) return l + ", " + cap + ", " + print_quantity(s.load_inductance_h, Unit::henry);
  return cap + ", " + l + ", " + print_quantity(s.load_capacitance_f, Unit::farad);
}

Json json_setting(const tuner::ContinuousTuner& t, const tuner::ContinuousSetting& s) {
  Json j;
  if (t.form == tuner::TunerForm::lcl) {
    j["inductances_h"] = {s.inductance_h, s.load_inductance_h};
  } else {
    j["inductance_h"] = s.inductance_h;
  }
  if (two_capacitors(t)) {
    j["capacitances_f"] = {s.capacitance_f, s.load_capacitance_f};
  } else {
    j["capacitance_f"] = s.capacitance_f;
  }
  if (t.form == tuner::TunerForm::l) j["capacitor_side"] = side_name(s.side);
  return j;
}

Json json_load(const tuner::ContinuousTuner& t, const tuner::ContinuousAnswer& a) {
  Json answer{{"status", found(a.match) ? "found" : "out_of_reach"},
              {"state", nullptr},
              {"swr", nullptr},
              {"dissipation_db", nullptr},
              {"transducer_db", nullptr}};
  if (found(a.match)) {
    answer["state"] = json_setting(t, a.match.setting);
    answer["swr"] = 1.0;
    answer["dissipation_db"] = answer["transducer_db"] = a.match.dissipation_db;
  }
  return {{"load", a.load},
          {"band", a.band},
          {"frequency_hz", a.frequency_hz},
          {"load_ohm", json_complex(a.z_ohm)},
          {"most_delivered", answer},
          {"least_swr", answer},
          {"least_loss", answer}};
}

std::vector<safety::Caution> cautions_of_case(const RangeCase& c) {
  safety::CautionCase facts;
  facts.power_w = c.source.power_w;
  facts.whip_on_body = c.whip_on_body;
  facts.frequency_hz = lowest_hz(c);
  return safety::cautions(facts);
}

}  // namespace

plots::Chart turned_chart(const RangeCase& c, const tuner::ContinuousSurvey& survey, const tuner::MapGrid& grid,
                          bool heat, const std::vector<std::vector<tuner::ContinuousMatch>>& maps) {
  std::vector<plots::RangePanel> panels;
  for (std::size_t b = 0; b < c.bands.size(); ++b) {
    plots::RangePanel panel;
    const double f = c.bands[b].middle_hz;
    if (c.bands.size() > 1) panel.title = c.bands[b].name + ": " + tuner::frequency_name(f);
    for (const tuner::ContinuousMatch& match : maps[b]) {
      const bool matched = found(match), load = match.status != tuner::TunerStatus::not_run;
      panel.values.push_back(!load ? none : heat ? (matched ? match.dissipation_db : none) : (matched ? 0.0 : 1.0));
    }
    for (const tuner::BoundaryStretch& stretch : tuner::boundary_stretches(survey.boundaries[b].curves, grid))
      panel.edges.push_back({stretch.points, stretch.outline});
    panel.marks = marks_of(c, f);
    panels.push_back(std::move(panel));
  }
  const plots::ChartText text =
      map_text(c, grid,
               (heat ? "Heat in the parts of the least lossy exact match: " : "Loads that are matched exactly: ") +
                   c.turned->name + ", " + when(c));
  if (heat) return plots::range_map_chart(panels, plot_grid(grid), heat_scale(), c.swr_limit, text);
  return plots::range_class_chart(panels, plot_grid(grid), {"matched exactly", "not matched"}, c.swr_limit, text);
}

std::string turned_text(const RangeCase& c, const tuner::ContinuousSurvey& survey) {
  const tuner::ContinuousTuner& tuner = *c.turned;
  std::string text =
      fmt::format("{}: parts that turn. {} from {}. A load counts as matched when it is so exactly, so what is lost is "
                  "heat in the parts.\n",
                  tuner.name, print_quantity(c.source.power_w, Unit::watt), impedance_text(c.source.z_ohm));
  std::vector<std::vector<std::string>> rows{{"at", "load, ohm", "heat, dB", "setting"}};
  for (const tuner::ContinuousAnswer& a : survey.loads) {
    const std::string z = print_impedance(a.z_ohm);
    rows.push_back({tuner::frequency_name(a.frequency_hz), a.load == impedance_text(a.z_ohm) ? z : a.load + ", " + z,
                    found(a.match) ? figure(a.match.dissipation_db) : "-",
                    found(a.match) ? setting_text(tuner, a.match.setting) : "no setting within the limits"});
  }
  if (rows.size() > 1) text += "\n" + aligned(rows);
  if (!survey.sweeps.empty()) {
    rows = {{"band", "load", "frequencies", "without a match"}};
    for (const tuner::BandPoints& band : c.bands) {
      for (const tuner::NamedLoad& named : c.loads) {
        std::size_t all = 0;
        std::string holes;
        for (const tuner::ContinuousAnswer& a : survey.sweeps) {
          if (a.band != band.name || a.load != named.name) continue;
          ++all;
          if (!found(a.match)) holes += (holes.empty() ? "" : ", ") + tuner::frequency_name(a.frequency_hz);
        }
        if (all > 0) rows.push_back({band.name, named.name, std::to_string(all), holes.empty() ? "none" : holes});
      }
    }
    text += "\nHoles in the range, tuned anew at each frequency\n" + aligned(rows);
  }
  rows = {{"boundary at", "curve", "points", "of them outline"}};
  for (const tuner::BoundaryAt& b : survey.boundaries) {
    for (const tuner::BoundaryCurve& curve : b.curves) {
      const auto outline = std::count_if(curve.points.begin(), curve.points.end(),
                                         [](const tuner::BoundaryPoint& p) { return p.outline; });
      rows.push_back({tuner::frequency_name(b.frequency_hz), curve.label, std::to_string(curve.points.size()),
                      std::to_string(outline)});
    }
  }
  return text + "\n" + aligned(rows) + "The boundary's points are in --json and --csv; --chart draws it.\n\n" +
         cautions_in_short(cautions_of_case(c));
}

std::string turned_json(const RangeCase& c, const tuner::ContinuousSurvey& survey) {
  Json j;
  j["tool"] = "stile-range";
  j["version"] = version();
  j["tuner"] = c.turned->name;
  j["states"] = nullptr;
  j["source"] = {{"impedance_ohm", json_complex(c.source.z_ohm)}, {"power_w", c.source.power_w}};
  j["loads"] = Json::array();
  for (const tuner::ContinuousAnswer& a : survey.loads) j["loads"].push_back(json_load(*c.turned, a));
  j["coverage"] = Json::array();
  j["sweep"] = Json::array();
  for (const tuner::ContinuousAnswer& a : survey.sweeps) j["sweep"].push_back(json_load(*c.turned, a));
  j["boundaries"] = Json::array();
  for (const tuner::BoundaryAt& b : survey.boundaries) {
    Json curves = Json::array();
    for (const tuner::BoundaryCurve& curve : b.curves) {
      Json points = Json::array();
      for (const tuner::BoundaryPoint& p : curve.points) {
        points.push_back({{"reflection", json_complex(p.reflection)},
                          {"outline", p.outline},
                          {"setting", json_setting(*c.turned, p.setting)}});
      }
      curves.push_back({{"label", curve.label}, {"points", std::move(points)}});
    }
    j["boundaries"].push_back({{"band", b.band},
                               {"frequency_hz", b.frequency_hz},
                               {"reference_ohm", c.source.z_ohm.real()},
                               {"curves", std::move(curves)}});
  }
  j["cautions"] = cautions_json(cautions_of_case(c));
  return json_text(j);
}

std::string turned_csv(const RangeCase& c, const tuner::ContinuousSurvey& survey) {
  std::string text = "kind,band,load,frequency_hz,load_r_ohm,load_x_ohm,matched,inductance_h,load_inductance_h,"
                     "capacitance_f,load_capacitance_f,capacitor_side,dissipation_db\n";
  const auto values = [&](bool known, const tuner::ContinuousSetting& s) {
    if (!known) return std::vector<std::string>(5);
    const bool lcl = c.turned->form == tuner::TunerForm::lcl;
    return std::vector<std::string>{csv_number(s.inductance_h), lcl ? csv_number(s.load_inductance_h) : "",
                                    csv_number(s.capacitance_f),
                                    two_capacitors(*c.turned) ? csv_number(s.load_capacitance_f) : "",
                                    c.turned->form == tuner::TunerForm::l ? side_name(s.side) : ""};
  };
  const auto add = [&](const char* kind, const std::string& band, const std::string& name, double f, cdouble z,
                       const char* matched, const std::vector<std::string>& setting, const std::string& loss) {
    std::vector<std::string> row{
        kind, csv_text(band), csv_text(name), csv_number(f), csv_number(z.real()), csv_number(z.imag()), matched};
    row.insert(row.end(), setting.begin(), setting.end());
    row.push_back(loss);
    text += csv_row(row);
  };
  const auto add_loads = [&](const char* kind, const std::vector<tuner::ContinuousAnswer>& loads) {
    for (const tuner::ContinuousAnswer& a : loads) {
      const bool ok = found(a.match);
      add(kind, a.band, a.load, a.frequency_hz, a.z_ohm, ok ? "1" : "0", values(ok, a.match.setting),
          ok ? csv_number(a.match.dissipation_db) : "");
    }
  };
  add_loads("load", survey.loads);
  add_loads("sweep", survey.sweeps);
  for (const tuner::BoundaryAt& b : survey.boundaries) {
    for (const tuner::BoundaryCurve& curve : b.curves) {
      for (const tuner::BoundaryPoint& p : curve.points) {
        add(p.outline ? "outline" : "edge", b.band, curve.label, b.frequency_hz, p.z_ohm, "1", values(true, p.setting),
            "");
      }
    }
  }
  return text + cautions_csv(cautions_of_case(c));
}

std::string turned_reason(const tuner::ContinuousSurvey& survey) {
  std::string reason;
  for (const tuner::ContinuousAnswer& a : survey.loads) {
    if (!found(a.match))
      reason += (reason.empty() ? "" : "; ") + a.load + " at " + tuner::frequency_name(a.frequency_hz) +
                ": no setting within the limits";
  }
  const auto holes = std::count_if(survey.sweeps.begin(), survey.sweeps.end(),
                                   [](const tuner::ContinuousAnswer& a) { return !found(a.match); });
  if (holes > 0)
    reason += fmt::format("{}{} frequencies of the sweeps without a match", reason.empty() ? "" : "; ", holes);
  return reason;
}

}  // namespace stile::tools
