#include "whip/report.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/load/touchstone_write.hpp>
#include <stile/network/one_port.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/counterpoise.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/limits.hpp>
#include <stile/wire/lying_ground.hpp>
#include <stile/wire/near_field.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"
#include "whip/exposure.hpp"

namespace stile::tools {
namespace {

constexpr std::array<int, 4> low_angles_deg{5, 10, 20, 30};

std::string ground_text(const wire::Ground& ground) {
  if (ground.kind == wire::GroundKind::free_space) return "free space";
  if (ground.kind == wire::GroundKind::perfect) return "perfect ground";
  return fmt::format("ground of relative permittivity {:.4g}, {}", ground.relative_permittivity,
                     print_quantity(ground.conductivity_s_m, Unit::siemens_per_metre));
}

double gain_dbi(const WhipJob& job, const wire::AntennaSolution& s, int elevation_deg) {
  return wire::elevation_gain_dbi(s, elevation_deg * pi / 180.0, job.azimuth_rad);
}

struct FieldPoint {
  wire::Vec3 at;
  wire::NearField field;
};

std::vector<FieldPoint> field_of(const WhipJob& job, const wire::AntennaSolution& s) {
  std::vector<FieldPoint> all;
  if (job.field_points.empty()) return all;
  const std::vector<wire::NearField> fields =
      wire::near_field(s, job.field_points, job.power_w, job.task.options.tables);
  for (std::size_t n = 0; n < fields.size(); ++n) all.push_back({job.field_points[n], fields[n]});
  return all;
}

/// NaN (null in JSON) where the bound does not apply.
double least_q(const wire::ConditionSweep& c, double frequency_hz) {
  return wire::least_whip_q(c.wires.antenna, frequency_hz).value_or(std::numeric_limits<double>::quiet_NaN());
}

/// Whether anything is lost in lumps, the base's leakage or a person: columns that are shown only then.
bool lumps_or_person(const WhipJob& job) {
  return std::any_of(job.cases.begin(), job.cases.end(), [](const wire::ConditionSweep& c) {
    const wire::AntennaShares& share = c.points.front().solution.share;
    return share.lump > 0.0 || share.person > 0.0;
  });
}

Json json_vec(wire::Vec3 v) { return Json::array({v.x_m, v.y_m, v.z_m}); }

double mean_gain_of(const wire::AntennaSolution& s, std::pair<double, double> elevation_deg) {
  return wire::mean_gain_dbi(s, elevation_deg.first * pi / 180.0, elevation_deg.second * pi / 180.0);
}

/// Share of the power into the feed that heats what the hand's contact is stated for.
double hand_and_arm_share(const wire::ConditionSweep& c, const wire::AntennaSolution& s) {
  return s.wire_share[c.wires.antenna.lumps[*c.wires.hand].wire];
}

Json json_point(const WhipJob& job, const wire::ConditionSweep& c, const wire::ConditionPoint& p) {
  const wire::AntennaSolution& s = p.solution;
  Json gains = Json::array();
  for (const int deg : low_angles_deg) gains.push_back({{"elevation_deg", deg}, {"gain_dbi", gain_dbi(job, s, deg)}});
  Json j{{"condition", c.wires.name},
         {"frequency_hz", s.frequency_hz},
         {"feed_ohm", json_complex(s.feed_ohm)},
         {"efficiency", s.share.radiated},
         {"ground_loss_share", s.share.ground},
         {"metal_loss_share", s.share.metal},
         {"coil_loss_share", s.share.coil},
         {"lump_loss_share", s.share.lump},
         {"person_loss_share", s.share.person},
         {"q", p.q},
         {"least_q_lossless", least_q(c, s.frequency_hz)},
         {"feed_voltage_v_peak", network::load_voltage_v_peak(s.feed_ohm, job.power_w)},
         {"effective_height_m", wire::effective_height_m(s)},
         {"gain", std::move(gains)},
         {"power_balance", s.power_balance},
         {"unknowns", s.unknowns}};
  Json mean_gain = Json::array(), tuned_mean_gain = Json::array();
  const double coil_db = wire::tuning_loss_db(s, job.tuning_q);
  for (const auto& range : job.elevations_deg) {
    const double gain_dbi = mean_gain_of(s, range);
    mean_gain.push_back({{"elevation_deg", {range.first, range.second}}, {"gain_dbi", gain_dbi}});
    tuned_mean_gain.push_back({{"elevation_deg", {range.first, range.second}}, {"gain_dbi", gain_dbi - coil_db}});
  }
  j["tuned"] = {{"coil_q", job.tuning_q},
                {"efficiency", wire::tuned_efficiency(s, job.tuning_q)},
                {"mean_gain", std::move(tuned_mean_gain)}};
  j["mean_gain"] = std::move(mean_gain);
  if (c.wires.hand) {
    j["hand_current_a_per_sqrt_w"] = wire::lump_current_a_rms(s, *c.wires.hand, 1.0);
    j["hand_and_arm_loss_share"] = hand_and_arm_share(c, s);
  }
  if (wire::has_lying_corner(c.wires, s.frequency_hz)) {
    const wire::GroundCorner low = wire::with_ground_factor(s, wire::lying_ground_factor.low),
                             high = wire::with_ground_factor(s, wire::lying_ground_factor.high);
    j["lying_wire_corner"] = {{"ground_factor", {wire::lying_ground_factor.low, wire::lying_ground_factor.high}},
                              {"feed_r_ohm", {low.feed_ohm.real(), high.feed_ohm.real()}},
                              {"efficiency", {low.radiated, high.radiated}}};
  }
  j["lying_wires"] = Json::array();
  for (const wire::LyingWire& w : wire::lying_wires(c.wires, s.frequency_hz)) {
    Json avoid = Json::array();
    for (const Range& r : w.avoid_m) avoid.push_back({r.low, r.high});
    j["lying_wires"].push_back({{"wire", w.name},
                                {"length_m", w.length_m},
                                {"height_m", w.height_m},
                                {"velocity_factor", w.velocity},
                                {"quarter_wave_m", w.quarter_wave_m},
                                {"avoid_m", std::move(avoid)}});
  }
  Json fields = Json::array();
  for (const FieldPoint& f : field_of(job, s))
    fields.push_back({{"point_m", json_vec(f.at)}, {"e_v_m", f.field.e_v_m()}, {"h_a_m", f.field.h_a_m()}});
  if (!fields.empty()) j["field"] = std::move(fields);
  if (job.detail) {
    Json pattern = Json::array(), currents = Json::array();
    for (const wire::PatternPoint& g : wire::vertical_pattern(s, job.azimuth_rad, 91)) {
      pattern.push_back({{"elevation_deg", g.elevation_rad * 180.0 / pi}, {"gain_dbi", g.gain_dbi}});
    }
    for (const wire::CellCurrent& cell : s.cells) {
      currents.push_back({{"wire", c.wires.antenna.wires[cell.wire].name},
                          {"start_m", json_vec(cell.start)},
                          {"end_m", json_vec(cell.end)},
                          {"start_share", json_complex(cell.start_a)},
                          {"end_share", json_complex(cell.end_a)}});
    }
    j["pattern"] = std::move(pattern);
    j["currents"] = std::move(currents);
  }
  if (job.exposure) add_exposure(j, *job.exposure, c.wires.name, s.frequency_hz);
  return j;
}

Json json_study(const wire::AntennaStudy& study) {
  const auto list = [](const std::vector<wire::AntennaStudyPoint>& points, const char* key) {
    Json all = Json::array();
    for (const wire::AntennaStudyPoint& p : points) {
      all.push_back({{key, p.x_m},
                     {"feed_ohm", json_complex(p.feed_ohm)},
                     {"efficiency", p.efficiency},
                     {"tuned_efficiency", p.tuned_efficiency}});
    }
    return all;
  };
  return {{"condition", study.condition},
          {"coil", list(study.coil, "coil_distance_m")},
          {"length", list(study.length, "whip_length_m")}};
}

std::string percent(double share) { return figure(100.0 * share); }

std::string points_text(const WhipJob& job) {
  std::vector<std::vector<std::string>> rows{{"Condition", "Frequency", "Feed, ohm", "Radiated, %", "Ground, %",
                                              "Metal, %", "Coils, %", "Q", "At the feed, peak",
                                              "Gain at 10, 30 degrees, dBi"}};
  const bool bodies = lumps_or_person(job);
  if (bodies) rows[0].insert(rows[0].begin() + 7, {"Lumps, %", "Person, %"});
  for (const wire::ConditionSweep& c : job.cases) {
    for (const wire::ConditionPoint& p : c.points) {
      const wire::AntennaSolution& s = p.solution;
      rows.push_back({c.wires.name, print_quantity(s.frequency_hz, Unit::hertz, 6), print_impedance(s.feed_ohm),
                      percent(s.share.radiated), percent(s.share.ground), percent(s.share.metal), percent(s.share.coil),
                      figure(p.q), print_quantity(network::load_voltage_v_peak(s.feed_ohm, job.power_w), Unit::volt, 3),
                      fmt::format("{:.1f}, {:.1f}", gain_dbi(job, s, 10), gain_dbi(job, s, 30))});
      if (bodies) rows.back().insert(rows.back().begin() + 7, {percent(s.share.lump), percent(s.share.person)});
    }
  }
  return aligned(rows);
}

/// What is left when a coil has tuned the reactance out, and where it goes: without it, losing a wire may look like a
/// gain.
std::string left_text(const WhipJob& job) {
  std::vector<std::vector<std::string>> rows{{"Condition", "Frequency", "Left, %"}};
  for (const auto& range : job.elevations_deg)
    rows[0].push_back(fmt::format("Tuned gain {:g} to {:g} deg, dBi", range.first, range.second));
  for (const wire::ConditionSweep& c : job.cases) {
    for (const wire::ConditionPoint& p : c.points) {
      const double coil_db = wire::tuning_loss_db(p.solution, job.tuning_q);
      rows.push_back({c.wires.name, print_quantity(p.solution.frequency_hz, Unit::hertz, 6),
                      percent(wire::tuned_efficiency(p.solution, job.tuning_q))});
      for (const auto& range : job.elevations_deg)
        rows.back().push_back(fmt::format("{:.1f}", mean_gain_of(p.solution, range) - coil_db));
    }
  }
  return fmt::format("\nRadiated after tuning with a coil of Q {:g}, mean gains with its loss\n", job.tuning_q) +
         aligned(rows);
}

/// What a hand on the set carries, and what the bias of lying wires would make of resistance and efficiency.
std::string carried_text(const WhipJob& job) {
  std::vector<std::vector<std::string>> hands{
      {"Condition", "Frequency", "Hand, mA for 1 W", "In hand and arm, mW for 1 W", "In the person, %"}},
      corners{{"Condition", "Frequency", "R, ohm", "Radiated, %"}};
  for (const wire::ConditionSweep& c : job.cases) {
    for (const wire::ConditionPoint& p : c.points) {
      const wire::AntennaSolution& s = p.solution;
      const std::string at = print_quantity(s.frequency_hz, Unit::hertz, 6);
      if (c.wires.hand)
        hands.push_back({c.wires.name, at, figure(1e3 * wire::lump_current_a_rms(s, *c.wires.hand, 1.0)),
                         figure(1e3 * hand_and_arm_share(c, s)), percent(s.share.person)});
      if (!wire::has_lying_corner(c.wires, s.frequency_hz)) continue;
      const wire::GroundCorner low = wire::with_ground_factor(s, wire::lying_ground_factor.low),
                               high = wire::with_ground_factor(s, wire::lying_ground_factor.high);
      corners.push_back({c.wires.name, at, figure(low.feed_ohm.real()) + " to " + figure(high.feed_ohm.real()),
                         figure(100.0 * high.radiated) + " to " + figure(100.0 * low.radiated)});
    }
  }
  std::string text;
  if (hands.size() > 1)
    text += "\nHand on the set; the stated contact is that of hand and arm, and heats the person\n" + aligned(hands);
  if (corners.size() > 1)
    text +=
        fmt::format(
            "\nWith {:g} to {:g} times the ground resistance, as measured on single lying radials; for wires that lie\n"
            "and are shorter than a quarter wave\n",
            wire::lying_ground_factor.low, wire::lying_ground_factor.high) +
        aligned(corners);
  return text;
}

/// What stands across the terminals in every condition.
std::string base_text(const wire::Feed& feed) {
  const bool capacitance = feed.base_capacitance_f > 0.0, leakage = std::isfinite(feed.base_leakage_ohm);
  if (!capacitance && !leakage) return "";
  const std::string f = print_quantity(feed.base_capacitance_f, Unit::farad),
                    r = print_quantity(feed.base_leakage_ohm, Unit::ohm) + " of a wet surface";
  return "base across the terminals: " +
         (capacitance && leakage ? f + ", " + r
          : capacitance          ? f
                                 : r) +
         (feed.base_capacitance_f == wire::usual_base_capacitance_f &&
                  feed.base_leakage_ohm == wire::usual_base_leakage_ohm
              ? "; assumed values of a file with [set], where [feed] may state others or \"none\"\n"
              : "\n");
}

/// What ground makes of the lengths of wires that lie.
std::string lying_text(const WhipJob& job) {
  std::vector<std::vector<std::string>> rows{
      {"Condition", "Frequency", "Wire", "Length", "Velocity", "Quarter wave", "Avoid, near half a wave"}};
  for (const wire::ConditionSweep& c : job.cases) {
    for (const wire::ConditionPoint& p : c.points) {
      for (const wire::LyingWire& w : wire::lying_wires(c.wires, p.solution.frequency_hz)) {
        std::string avoid;
        for (const Range& r : w.avoid_m)
          avoid += fmt::format("{}{} to {}", avoid.empty() ? "" : ", ", print_quantity(r.low, Unit::metre, 3),
                               print_quantity(r.high, Unit::metre, 3));
        rows.push_back({c.wires.name, print_quantity(p.solution.frequency_hz, Unit::hertz, 6), w.name,
                        print_quantity(w.length_m, Unit::metre, 4), figure(w.velocity),
                        print_quantity(w.quarter_wave_m, Unit::metre, 4), avoid.empty() ? "-" : avoid});
      }
    }
  }
  if (rows.size() == 1) return "";
  return fmt::format(
             "\nWires that lie, as lines along the ground, up to {}; insulation shortens them by up to 12 % more\n",
             print_quantity(wire::longest_avoided_m, Unit::metre)) +
         aligned(rows);
}

std::string spread_text(const WhipJob& job) {
  std::vector<std::vector<std::string>> rows{{"Frequency", "R, ohm", "X, ohm", "Radiated, %"}};
  const auto from_to = [](double low, double high) { return figure(low) + " to " + figure(high); };
  for (const wire::ConditionSpread& s : wire::condition_spreads(job.cases)) {
    rows.push_back({print_quantity(s.frequency_hz, Unit::hertz, 6), from_to(s.r_low_ohm, s.r_high_ohm),
                    from_to(s.x_low_ohm, s.x_high_ohm), from_to(100.0 * s.efficiency_low, 100.0 * s.efficiency_high)});
  }
  return rows.size() == 1 ? "" : "\nBetween the conditions\n" + aligned(rows);
}

std::string field_text(const WhipJob& job) {
  if (job.field_points.empty()) return "";
  std::vector<std::vector<std::string>> rows{{"Condition", "Frequency", "Point, m", "E, V/m rms", "H, A/m rms"}};
  for (const wire::ConditionSweep& c : job.cases) {
    for (const wire::ConditionPoint& p : c.points) {
      for (const FieldPoint& f : field_of(job, p.solution)) {
        rows.push_back({c.wires.name, print_quantity(p.solution.frequency_hz, Unit::hertz, 6),
                        fmt::format("{:g}, {:g}, {:g}", f.at.x_m, f.at.y_m, f.at.z_m), figure(f.field.e_v_m()),
                        figure(f.field.h_a_m())});
      }
    }
  }
  return "\nField with " + print_quantity(job.power_w, Unit::watt) + " into the antenna\n" + aligned(rows);
}

std::string study_text(const WhipJob& job) {
  std::string text;
  for (const wire::AntennaStudy& study : job.studies) {
    const auto table = [&](const std::vector<wire::AntennaStudyPoint>& points, const char* what) {
      if (points.empty()) return;
      std::vector<std::vector<std::string>> rows{{what, "Feed, ohm", "Radiated, %", "With the tuning coil, %"}};
      for (const wire::AntennaStudyPoint& p : points) {
        rows.push_back({print_quantity(p.x_m, Unit::metre), print_impedance(p.feed_ohm), percent(p.efficiency),
                        percent(p.tuned_efficiency)});
      }
      text += fmt::format("\n{}\n", study.condition) + aligned(rows);
    };
    table(study.coil, "Coil from the feed");
    table(study.length, "Length of the whip");
  }
  if (!text.empty())
    text += fmt::format("The tuning coil at the feed, of Q {:g}, takes the reactance away.\n", job.tuning_q);
  return text;
}

}  // namespace

std::vector<safety::Caution> whip_cautions(const WhipJob& job) {
  safety::CautionCase facts;
  facts.power_w = job.power_w;
  facts.frequency_hz = job.task.frequency_hz.front();
  facts.whip_on_body = true;
  const wire::ConditionValue voltage = wire::highest_feed_voltage_v_peak(job.cases, job.power_w);
  facts.load_voltage_v_peak = voltage.value;
  facts.load_voltage_where =
      print_quantity(voltage.frequency_hz, Unit::hertz, 6) + ", " + voltage.condition + ", all of it accepted";
  if (job.exposure)
    facts.findings = safety::public_findings(job.exposure->verdicts, safety::all_body_rows(*job.exposure));
  if (job.exposure) facts.wind.push_back(safety::wind_words(job.exposure->wind));
  return safety::cautions(facts);
}

Pieces whip_json(const WhipJob& job) {
  Json conditions = Json::array(), spread = Json::array();
  for (const wire::ConditionSweep& c : job.cases) {
    conditions.push_back({{"name", c.wires.name},
                          {"ground", ground_text(c.wires.ground)},
                          {"changes", c.wires.changes},
                          {"warnings", c.warnings},
                          {"corner_of", c.wires.corner_of},
                          {"base_capacitance_f", c.wires.antenna.feed.base_capacitance_f},
                          {"base_leakage_ohm", c.wires.antenna.feed.base_leakage_ohm}});
  }
  for (const wire::ConditionSpread& s : wire::condition_spreads(job.cases)) {
    spread.push_back({{"frequency_hz", s.frequency_hz},
                      {"r_ohm", {s.r_low_ohm, s.r_high_ohm}},
                      {"x_ohm", {s.x_low_ohm, s.x_high_ohm}},
                      {"efficiency", {s.efficiency_low, s.efficiency_high}}});
  }
  Json j;
  j["tool"] = "stile-whip";
  j["version"] = version();
  j["power_w"] = job.power_w;
  j["conditions"] = std::move(conditions);
  j["points"] = Json::array();  // written one by one
  j["spread"] = std::move(spread);
  if (!job.studies.empty()) {
    j["study"] = Json::array();
    for (const wire::AntennaStudy& study : job.studies) j["study"].push_back(json_study(study));
  }
  if (job.exposure) j["exposure"] = exposure_json(*job.exposure);
  j["warnings"] = job.warnings;
  j["cautions"] = cautions_json(job.caution_list);
  std::vector<std::pair<std::size_t, std::size_t>> points;  // condition and frequency of each
  for (std::size_t c = 0; c < job.cases.size(); ++c) {
    for (std::size_t p = 0; p < job.cases[c].points.size(); ++p) points.emplace_back(c, p);
  }
  const std::size_t count = points.size();
  return json_pieces(std::move(j), "points", count, [&job, points = std::move(points)](std::size_t n) {
    const wire::ConditionSweep& c = job.cases[points[n].first];
    return json_point(job, c, c.points[points[n].second]);
  });
}

std::string whip_csv(const WhipJob& job) {
  if (job.exposure) return exposure_csv(*job.exposure) + cautions_csv(job.caution_list);
  std::vector<std::string> heading{"condition",  "frequency_hz",        "feed_r_ohm",        "feed_x_ohm",
                                   "efficiency", "ground_loss_share",   "metal_loss_share",  "coil_loss_share",
                                   "q",          "feed_voltage_v_peak", "effective_height_m"};
  for (const int deg : low_angles_deg) heading.push_back(fmt::format("gain_{}deg_dbi", deg));
  for (std::size_t n = 1; n <= job.field_points.size(); ++n) {
    heading.push_back(fmt::format("field_{}_e_v_m", n));
    heading.push_back(fmt::format("field_{}_h_a_m", n));
  }
  heading.insert(heading.end(),
                 {"lump_loss_share", "person_loss_share", "hand_current_a_per_sqrt_w", "tuned_coil_q",
                  "tuned_efficiency", "lying_wire_corner_feed_r_low_ohm", "lying_wire_corner_feed_r_high_ohm",
                  "lying_wire_corner_efficiency_low", "lying_wire_corner_efficiency_high"});
  for (const auto& range : job.elevations_deg) {
    const std::string of = fmt::format("mean_gain_{:g}_to_{:g}deg_dbi", range.first, range.second);
    heading.insert(heading.end(), {of, "tuned_" + of});
  }
  heading.push_back("hand_and_arm_loss_share");
  std::string text = csv_row(heading);
  for (const wire::ConditionSweep& c : job.cases) {
    for (const wire::ConditionPoint& p : c.points) {
      const wire::AntennaSolution& s = p.solution;
      std::vector<std::string> row{csv_text(c.wires.name)};
      for (const double value : {s.frequency_hz, s.feed_ohm.real(), s.feed_ohm.imag(), s.share.radiated, s.share.ground,
                                 s.share.metal, s.share.coil})
        row.push_back(csv_number(value));
      for (const double value :
           {p.q, network::load_voltage_v_peak(s.feed_ohm, job.power_w), wire::effective_height_m(s)})
        row.push_back(csv_number(value));
      for (const int deg : low_angles_deg) row.push_back(csv_number(gain_dbi(job, s, deg)));
      for (const FieldPoint& f : field_of(job, s)) {
        row.push_back(csv_number(f.field.e_v_m()));
        row.push_back(csv_number(f.field.h_a_m()));
      }
      row.insert(row.end(), {csv_number(s.share.lump), csv_number(s.share.person),
                             c.wires.hand ? csv_number(wire::lump_current_a_rms(s, *c.wires.hand, 1.0)) : "",
                             csv_number(job.tuning_q), csv_number(wire::tuned_efficiency(s, job.tuning_q))});
      if (wire::has_lying_corner(c.wires, s.frequency_hz)) {
        const wire::GroundCorner low = wire::with_ground_factor(s, wire::lying_ground_factor.low),
                                 high = wire::with_ground_factor(s, wire::lying_ground_factor.high);
        for (const double value : {low.feed_ohm.real(), high.feed_ohm.real(), high.radiated, low.radiated})
          row.push_back(csv_number(value));
      } else {
        row.insert(row.end(), 4, "");
      }
      const double coil_db = wire::tuning_loss_db(s, job.tuning_q);
      for (const auto& range : job.elevations_deg) {
        const double gain_dbi = mean_gain_of(s, range);
        row.push_back(csv_number(gain_dbi));
        row.push_back(csv_number(gain_dbi - coil_db));
      }
      row.push_back(c.wires.hand ? csv_number(hand_and_arm_share(c, s)) : "");
      text += csv_row(row);
    }
  }
  for (const wire::ConditionSweep& c : job.cases) {
    for (const wire::ConditionPoint& p : c.points) {
      for (const wire::LyingWire& w : wire::lying_wires(c.wires, p.solution.frequency_hz)) {
        text += fmt::format("# lying wire, {}, {} Hz, {}: {} m long, {} m up, velocity factor {}, quarter wave {} m",
                            c.wires.name, p.solution.frequency_hz, w.name, w.length_m, w.height_m, w.velocity,
                            w.quarter_wave_m);
        for (const Range& r : w.avoid_m) text += fmt::format(", avoid {} to {} m", r.low, r.high);
        text += "\n";
      }
    }
  }
  for (const std::string& warning : job.warnings) text += "# warning: " + warning + "\n";
  return text + cautions_csv(job.caution_list);
}

std::string whip_text(const WhipJob& job) {
  std::string text;
  for (const wire::ConditionSweep& c : job.cases) {
    std::string line = c.wires.name + ": " + ground_text(c.wires.ground);
    for (const std::string& change : c.wires.changes) line += "; " + change;
    text += wrapped(line, 0, 112);
  }
  text += base_text(job.cases.front().wires.antenna.feed);
  text += fmt::format("{} into the antenna, key down\n\n", print_quantity(job.power_w, Unit::watt));
  text += points_text(job) + left_text(job) + carried_text(job) + lying_text(job) + spread_text(job) + field_text(job) +
          study_text(job) + "\n";
  if (const auto bound = wire::least_whip_q(job.cases.front().wires.antenna, job.task.frequency_hz.front())) {
    text +=
        wrapped(fmt::format("Q: a lossless whip of this length over a plane has at least {} at {}; losses lower it.",
                            figure(*bound), print_quantity(job.task.frequency_hz.front(), Unit::hertz, 6)),
                0, 112);
  }
  text +=
      wrapped(job.task.options.method == wire::GroundMethod::complex_image
                  ? "Ground by the complex image (--fast): R 21 % low to 29 % high, X within 20 % of |Z|; with a "
                    "wire shorter than a quarter wave R 6 % low to 11 % high, X within 1 %."
                  : "As a solution of the model R within 4 %, the whole within 1.2 % of |Z|; real ground leaves "
                    "+-30..50 % on the lost part of R. Vegetation is missing: grass and heather are not in the model.",
              0, 112);
  for (const std::string& warning : job.warnings) text += wrapped("Warning: " + warning, 0, 112);
  if (job.exposure) text += "\n" + exposure_text(*job.exposure);
  return text + "\n" + (job.exposure ? cautions_text(job.caution_list) : cautions_in_short(job.caution_list));
}

std::string whip_touchstone(const WhipJob& job, const wire::ConditionSweep& c) {
  std::vector<load::OnePortPoint> points;
  for (const wire::ConditionPoint& p : c.points) points.push_back({p.solution.frequency_hz, p.solution.feed_ohm});
  std::vector<std::string> comments{version_text("stile-whip") + ": feed impedance computed from wires, not measured",
                                    "condition: " + c.wires.name + "; " + ground_text(c.wires.ground)};
  for (const wire::Wire& w : c.wires.antenna.wires) {
    comments.push_back(fmt::format("wire \"{}\": {} long, radius {}", w.name,
                                   print_quantity(wire::wire_length_m(w), Unit::metre),
                                   print_quantity(w.radius_m, Unit::metre)));
  }
  comments.push_back(
      "as a solution of this model R within 4 %, |Z| within 1.2 %; real ground +-30..50 % in the lost part of R");
  for (const std::string& warning : c.warnings) comments.push_back("warning: " + warning);
  for (const std::string& line : caution_lines(job.caution_list)) comments.push_back(line);
  return load::write_touchstone_1port(points, {load::TouchstoneKind::z, 50.0}, comments);
}

std::string whip_reason(const WhipJob& job, double least_efficiency) {
  const wire::ConditionValue worst = wire::least_efficiency(job.cases);
  if (worst.value >= least_efficiency) return "";
  return fmt::format("efficiency {} % at {} in \"{}\", stated least {} %", percent(worst.value),
                     print_quantity(worst.frequency_hz, Unit::hertz, 6), worst.condition, percent(least_efficiency));
}

}  // namespace stile::tools
