#include "range/turned.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/core.h>

#include <stile/plots/range_map.hpp>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

std::string megahertz(double hz) { return print_quantity(hz, Unit::hertz, 7); }
bool found(const ContinuousMatch& m) { return m.status == TunerStatus::found; }
bool two_capacitors(const ContinuousTuner& t) { return t.form == TunerForm::t || t.form == TunerForm::pi_network; }
const char* side_name(CapacitorSide side) { return side == CapacitorSide::load ? "load" : "transmitter"; }

std::string setting_text(const ContinuousTuner& t, const ContinuousSetting& s) {
  const std::string l = print_quantity(s.inductance_h, Unit::henry), cap = print_quantity(s.capacitance_f, Unit::farad);
  if (t.form == TunerForm::l) return l + ", " + cap + " at the " + side_name(s.side);
  if (t.form == TunerForm::lcl) return l + ", " + cap + ", " + print_quantity(s.load_inductance_h, Unit::henry);
  return cap + ", " + l + ", " + print_quantity(s.load_capacitance_f, Unit::farad);
}

Json json_setting(const ContinuousTuner& t, const ContinuousSetting& s) {
  Json j;
  if (t.form == TunerForm::lcl) {
    j["inductances_h"] = {s.inductance_h, s.load_inductance_h};
  } else {
    j["inductance_h"] = s.inductance_h;
  }
  if (two_capacitors(t)) {
    j["capacitances_f"] = {s.capacitance_f, s.load_capacitance_f};
  } else {
    j["capacitance_f"] = s.capacitance_f;
  }
  if (t.form == TunerForm::l) j["capacitor_side"] = side_name(s.side);
  return j;
}

Json json_load(const ContinuousTuner& t, const TurnedLoad& a) {
  Json answer{{"status", found(a.match) ? "found" : "out_of_reach"},
              {"state", nullptr},
              {"swr", nullptr},
              {"dissipation_db", nullptr}};
  if (found(a.match)) {
    answer["state"] = json_setting(t, a.match.setting);
    answer["swr"] = 1.0;
    answer["dissipation_db"] = a.match.dissipation_db;
  }
  return {{"load", a.load},
          {"band", a.band},
          {"frequency_hz", a.frequency_hz},
          {"load_ohm", json_complex(a.z_ohm)},
          {"least_swr", answer},
          {"least_loss", answer}};
}

std::vector<Caution> cautions_of_case(const RangeCase& c) {
  CautionCase facts;
  facts.power_w = c.source.power_w;
  facts.whip_on_body = c.whip_on_body;
  facts.frequency_hz = c.bands.front().frequency_hz.front();
  for (const BandPoints& band : c.bands) facts.frequency_hz = std::min(facts.frequency_hz, band.frequency_hz.front());
  return cautions(facts);
}

cdouble in_plane(const MapGrid& grid, cdouble reflection) {
  if (grid.plane == MapPlane::reflection) return reflection;
  return grid.reference_ohm * (1.0 + reflection) / (1.0 - reflection);
}

/// Stretches of a boundary that are outline, and those that are not, each up to the other's first point; what no passive
/// load is, or is far outside the plane shown, is left out.
std::vector<plots::RangeEdge> edges_of(const TurnedBoundary& boundary, const MapGrid& grid) {
  std::vector<plots::RangeEdge> edges;
  const double far =
      20.0 * std::max({std::abs(grid.x_low), std::abs(grid.x_high), std::abs(grid.y_low), std::abs(grid.y_high)});
  for (const BoundaryCurve& curve : boundary.curves) {
    plots::RangeEdge edge;
    const auto end = [&] {
      if (edge.points.size() > 1) edges.push_back(edge);
      edge.points.clear();
    };
    for (const BoundaryPoint& p : curve.points) {
      const cdouble at = in_plane(grid, p.reflection);
      if (std::abs(p.reflection) > 1.0 || !(std::abs(at) < far)) {
        end();
        continue;
      }
      if (!edge.points.empty() && edge.outline != p.outline) {
        edge.points.push_back(at);
        end();
      }
      edge.outline = p.outline;
      edge.points.push_back(at);
    }
    end();
  }
  return edges;
}

}  // namespace

TurnedReport report_turned(const RangeCase& c, Progress& progress) {
  constexpr double tolerance = 2e-4;  // fine enough to look smooth in the R-X plane as well
  const ContinuousTuner& tuner = *c.turned;
  const auto answer = [&](const BandPoints& band, const NamedLoad& named, double f) {
    const cdouble z = load_impedance(named.load, f);
    if (z.real() <= 0.0)
      throw UsageError(
          fmt::format("the load \"{}\" has no resistance at {}, so nothing matches it; legal: a real part > 0",
                      named.name, megahertz(f)));
    return TurnedLoad{named.name, band.name, f, z, match_continuous(tuner, f, c.source.z_ohm, z)};
  };
  TurnedReport report;
  for (const BandPoints& band : c.bands) {
    for (const NamedLoad& named : c.loads) {
      progress.step(band.name + ", " + named.name);
      report.loads.push_back(answer(band, named, band.middle_hz));
      if (band.frequency_hz.size() < 2) continue;
      for (const double f : band.frequency_hz) report.sweeps.push_back(answer(band, named, f));
    }
    progress.step(band.name + ", boundary");
    report.boundaries.push_back(
        {band.name, band.middle_hz,
         trace_boundary(tuner, band.middle_hz, c.source.z_ohm, c.source.z_ohm.real(), tolerance)});
  }
  return report;
}

plots::Chart turned_chart(const RangeCase& c, const TurnedReport& report, const MapGrid& grid, bool loss,
                          Progress& progress) {
  if (c.bands.size() > 8) throw UsageError("a chart takes 8 maps; legal: --bands with up to 8 bands");
  std::vector<plots::RangePanel> panels;
  for (std::size_t b = 0; b < c.bands.size(); ++b) {
    plots::RangePanel panel;
    const double f = c.bands[b].middle_hz;
    if (c.bands.size() > 1) panel.title = c.bands[b].name + ": " + megahertz(f);
    for (std::size_t row = 0; row < grid.rows; ++row) {
      progress.step(fmt::format("{}, map, row {} of {}", c.bands[b].name, row + 1, grid.rows));
      for (std::size_t column = 0; column < grid.columns; ++column) {
        const auto z = cell_load(grid, column, row);
        if (!z || z->real() <= 0.0) {
          panel.values.push_back(none);
          continue;
        }
        const ContinuousMatch match = match_continuous(*c.turned, f, c.source.z_ohm, *z);
        panel.values.push_back(loss ? (found(match) ? match.dissipation_db : none) : (found(match) ? 0.0 : 1.0));
      }
    }
    panel.edges = edges_of(report.boundaries[b], grid);
    for (const NamedLoad& named : c.loads) panel.marks.push_back({load_impedance(named.load, f), named.name});
    panels.push_back(std::move(panel));
  }
  const bool round = grid.plane == MapPlane::reflection;
  const plots::RangeGrid plane{round ? plots::RangePlane::reflection : plots::RangePlane::impedance,
                               grid.x_low,
                               grid.x_high,
                               grid.y_low,
                               grid.y_high,
                               grid.columns,
                               grid.rows,
                               grid.reference_ohm};
  const std::string when =
      c.bands.size() == 1 ? "at " + megahertz(c.bands.front().middle_hz) : "at the middle of each band";
  const plots::ChartText text{(loss ? "Loss of the least lossy exact match: " : "Loads that are matched exactly: ") +
                                  c.turned->name + ", " + when,
                              "Tuner: " + c.origin + ". Source: " + impedance_text(c.source.z_ohm) + ". Computed by " +
                                  version_text("stile-range") + chart_caution};
  if (loss) {
    return plots::range_map_chart(panels, plane,
                                  {"loss in the tuner, dB", 0.1, 10.0, true, {0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 6.0, 10.0}},
                                  c.swr_limit, text);
  }
  return plots::range_class_chart(panels, plane, {"matched exactly", "not matched"}, c.swr_limit, text);
}

std::string turned_text(const RangeCase& c, const TurnedReport& report) {
  const ContinuousTuner& tuner = *c.turned;
  std::string text =
      fmt::format("{}: parts that turn. {} from {}. A load counts as matched when it is so exactly.\n", tuner.name,
                  print_quantity(c.source.power_w, Unit::watt), impedance_text(c.source.z_ohm));
  std::vector<std::vector<std::string>> rows{{"at", "load, ohm", "loss, dB", "setting"}};
  for (const TurnedLoad& a : report.loads) {
    const std::string z = print_impedance(a.z_ohm);
    rows.push_back({megahertz(a.frequency_hz), a.load == impedance_text(a.z_ohm) ? z : a.load + ", " + z,
                    found(a.match) ? figure(a.match.dissipation_db) : "-",
                    found(a.match) ? setting_text(tuner, a.match.setting) : "no setting within the limits"});
  }
  if (rows.size() > 1) text += "\n" + aligned(rows);
  if (!report.sweeps.empty()) {
    rows = {{"band", "load", "frequencies", "without a match"}};
    for (const BandPoints& band : c.bands) {
      for (const NamedLoad& named : c.loads) {
        std::size_t all = 0;
        std::string holes;
        for (const TurnedLoad& a : report.sweeps) {
          if (a.band != band.name || a.load != named.name) continue;
          ++all;
          if (!found(a.match)) holes += (holes.empty() ? "" : ", ") + megahertz(a.frequency_hz);
        }
        if (all > 0) rows.push_back({band.name, named.name, std::to_string(all), holes.empty() ? "none" : holes});
      }
    }
    text += "\nHoles in the range, tuned anew at each frequency\n" + aligned(rows);
  }
  rows = {{"boundary at", "curve", "points", "of them outline"}};
  for (const TurnedBoundary& b : report.boundaries) {
    for (const BoundaryCurve& curve : b.curves) {
      const auto outline =
          std::count_if(curve.points.begin(), curve.points.end(), [](const BoundaryPoint& p) { return p.outline; });
      rows.push_back(
          {megahertz(b.frequency_hz), curve.label, std::to_string(curve.points.size()), std::to_string(outline)});
    }
  }
  return text + "\n" + aligned(rows) + "The boundary's points are in --json and --csv; --chart draws it.\n\n" +
         cautions_text(cautions_of_case(c));
}

std::string turned_json(const RangeCase& c, const TurnedReport& report) {
  Json j;
  j["tool"] = "stile-range";
  j["version"] = version();
  j["tuner"] = c.turned->name;
  j["states"] = nullptr;
  j["source"] = {{"impedance_ohm", json_complex(c.source.z_ohm)}, {"power_w", c.source.power_w}};
  j["loads"] = Json::array();
  for (const TurnedLoad& a : report.loads) j["loads"].push_back(json_load(*c.turned, a));
  j["coverage"] = Json::array();
  j["sweep"] = Json::array();
  for (const TurnedLoad& a : report.sweeps) j["sweep"].push_back(json_load(*c.turned, a));
  j["boundaries"] = Json::array();
  for (const TurnedBoundary& b : report.boundaries) {
    Json curves = Json::array();
    for (const BoundaryCurve& curve : b.curves) {
      Json points = Json::array();
      for (const BoundaryPoint& p : curve.points) {
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

std::string turned_csv(const RangeCase& c, const TurnedReport& report) {
  std::string text = "kind,band,load,frequency_hz,load_r_ohm,load_x_ohm,matched,inductance_h,load_inductance_h,"
                     "capacitance_f,load_capacitance_f,capacitor_side,dissipation_db\n";
  const auto values = [&](bool known, const ContinuousSetting& s) {
    if (!known) return std::vector<std::string>(5);
    const bool lcl = c.turned->form == TunerForm::lcl;
    return std::vector<std::string>{csv_number(s.inductance_h), lcl ? csv_number(s.load_inductance_h) : "",
                                    csv_number(s.capacitance_f),
                                    two_capacitors(*c.turned) ? csv_number(s.load_capacitance_f) : "",
                                    c.turned->form == TunerForm::l ? side_name(s.side) : ""};
  };
  const auto add = [&](const char* kind, const std::string& band, const std::string& name, double f, cdouble z,
                       const char* matched, const std::vector<std::string>& setting, const std::string& loss) {
    std::vector<std::string> row{
        kind, csv_text(band), csv_text(name), csv_number(f), csv_number(z.real()), csv_number(z.imag()), matched};
    row.insert(row.end(), setting.begin(), setting.end());
    row.push_back(loss);
    text += csv_row(row);
  };
  const auto add_loads = [&](const char* kind, const std::vector<TurnedLoad>& loads) {
    for (const TurnedLoad& a : loads) {
      const bool ok = found(a.match);
      add(kind, a.band, a.load, a.frequency_hz, a.z_ohm, ok ? "1" : "0", values(ok, a.match.setting),
          ok ? csv_number(a.match.dissipation_db) : "");
    }
  };
  add_loads("load", report.loads);
  add_loads("sweep", report.sweeps);
  for (const TurnedBoundary& b : report.boundaries) {
    for (const BoundaryCurve& curve : b.curves) {
      for (const BoundaryPoint& p : curve.points) {
        const cdouble z = c.source.z_ohm.real() * (1.0 + p.reflection) / (1.0 - p.reflection);
        add(p.outline ? "outline" : "edge", b.band, curve.label, b.frequency_hz, z, "1", values(true, p.setting), "");
      }
    }
  }
  return text + cautions_csv(cautions_of_case(c));
}

std::string turned_reason(const TurnedReport& report) {
  std::string reason;
  for (const TurnedLoad& a : report.loads) {
    if (!found(a.match))
      reason +=
          (reason.empty() ? "" : "; ") + a.load + " at " + megahertz(a.frequency_hz) + ": no setting within the limits";
  }
  const auto holes =
      std::count_if(report.sweeps.begin(), report.sweeps.end(), [](const TurnedLoad& a) { return !found(a.match); });
  if (holes > 0)
    reason += fmt::format("{}{} frequencies of the sweeps without a match", reason.empty() ? "" : "; ", holes);
  return reason;
}

}  // namespace stile::tools
