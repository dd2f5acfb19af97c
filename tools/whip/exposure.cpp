#include "whip/exposure.hpp"

#include <algorithm>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/table.hpp>
#include <stile/safety/record.hpp>

#include "cli/exposure.hpp"
#include "cli/plausible.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

constexpr std::size_t width = 112;

Json json_or_null(const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); }
Json json_point(wire::Vec3 v) { return Json::array({v.x_m, v.y_m, v.z_m}); }
std::string at_text(const safety::CaseAssessment& c) {
  return fmt::format("{}, {}", c.condition, print_quantity(c.frequency_hz, Unit::hertz, 6));
}

/// One a standard, group and frequency at which it says nothing.
std::vector<std::string> no_level_lines(const safety::Assessment& a) {
  std::vector<std::string> lines;
  for (const safety::CaseAssessment& c : a.cases) {
    for (const safety::StandardGroup& s : c.no_level) {
      std::string words = fmt::format("{}, {}: says nothing of fields at {}: no ratio and no verdict there", s.standard,
                                      s.group, print_quantity(c.frequency_hz, Unit::hertz, 6));
      if (std::find(lines.begin(), lines.end(), words) == lines.end()) lines.push_back(std::move(words));
    }
  }
  return lines;
}

std::string fields_text(const safety::Assessment& a) {
  std::vector<std::vector<std::string>> rows{{"Where", "E, V/m rms", "in", "H, A/m rms", "in", "E with the person"}};
  for (const safety::WorstField& w : safety::worst_fields(a)) {
    rows.push_back({w.where + (w.whole_body && w.where != "whole body" ? ", whole body" : ""), figure(w.e_v_m),
                    fmt::format("{}, {}", w.e_condition, print_quantity(w.e_frequency_hz, Unit::hertz, 6)),
                    figure(w.h_a_m),
                    fmt::format("{}, {}", w.h_condition, print_quantity(w.h_frequency_hz, Unit::hertz, 6)),
                    w.e_with_person_v_m ? figure(*w.e_with_person_v_m) : "-"});
  }
  std::string text = "\nStrongest fields, without the person (whole body: root of the mean square along it)\n";
  text += aligned(rows);
  text +=
      wrapped("Bystanders at 1, 2 and 5 m stand only where no conductor is nearer than that, so not beside a trailing "
              "wire.",
              0, width);
  std::vector<std::string> told;
  for (const safety::CaseAssessment& c : a.cases) {
    for (const std::string& words : c.nobody_stands) {
      if (std::find(told.begin(), told.end(), words) == told.end()) told.push_back(words);
    }
  }
  for (const std::string& words : told) text += wrapped("Left out: " + words + ".", 0, width);
  return text;
}

std::string reaches_text(const safety::Assessment& a) {
  std::vector<std::vector<std::string>> rows{
      {"Standard", "Group", "Scope", "Met from the feed beyond", "in the least direction", "from a wire's end"}};
  for (const safety::WorstReach& w : safety::worst_reaches(a)) {
    rows.push_back({w.level.standard, w.level.group, w.level.scope,
                    fmt::format("{}{:.2f} m", w.above_there ? "over " : "", w.farthest_m),
                    fmt::format("{:.2f} m", w.least_direction_m),
                    fmt::format("{}{:.2f} m", w.wire_end_above_there ? "over " : "", w.wire_end_m)});
  }
  if (rows.size() == 1) return "";
  return "\nWhere each level is met, for somebody who stands on the ground, by the axis of his body\n" + aligned(rows);
}

std::string body_text(const safety::Assessment& a) {
  std::vector<std::vector<std::string>> rows{
      {"In", "Person, W", "W/kg", "Where", "mA rms", "W/kg over 10 g, indicative"}};
  for (const safety::CaseAssessment& c : a.cases) {
    for (const safety::LimbCurrent& l : c.body.limbs) {
      rows.push_back({at_text(c), figure(c.body.person_w),
                      fmt::format("{} ({} to {})", figure(c.body.whole_body_w_kg),
                                  figure(c.body.whole_body_range_w_kg.low), figure(c.body.whole_body_range_w_kg.high)),
                      l.where,
                      fmt::format("{} ({} to {})", figure(1e3 * l.current_a_rms), figure(1e3 * l.current_range_a.low),
                                  figure(1e3 * l.current_range_a.high)),
                      fmt::format("{:.2g} ({:.2g} to {:.2g})", l.sar_10g_w_kg, l.sar_10g_range_w_kg.low,
                                  l.sar_10g_range_w_kg.high)});
    }
  }
  const safety::BodyExposure& first = a.cases.front().body;
  std::string text = "\nIn the body\n";
  text += wrapped(
      fmt::format("With {} a person above {:.4g} kg cannot exceed the public restriction on whole-body SAR, 0.08 "
                  "W/kg, even if all of it went into the body; restrictions in hand, wrist and ankle are 4 W/kg "
                  "(public) and 20 W/kg (occupational) over 10 g.",
                  print_quantity(first.power_w, Unit::watt), first.enough_mass_kg),
      0, width);
  if (rows.size() == 1)
    return text + "No person is in the model: tables [set] and [person] in the file put one there.\n";
  text += aligned(rows);
  text += wrapped("The cases with a hand on the set are the ones that matter. In brackets the spread over conductivity "
                  "+-30 % and stature +-0.15 m; key down.",
                  0, width);
  std::vector<std::vector<std::string>> levels{{"Worst beside a level", "In", "Standard", "Group", "Ratio"}};
  for (const safety::CaseAssessment& c : a.cases) {
    for (const safety::BodyRow& r : c.body_rows) {
      if (!r.ratio || *r.ratio <= 0.5) continue;
      levels.push_back({r.where + ": " + r.quantity, at_text(c), r.standard, r.group, fmt::format("{:.3g}", *r.ratio)});
    }
  }
  if (levels.size() > 1) text += "Above half of a level:\n" + aligned(levels);
  for (const safety::CaseAssessment& c : a.cases) {
    for (const std::string& words : c.body.left_out)
      text += wrapped(fmt::format("Left out of the spread, {}: {}.", at_text(c), words), 0, width);
  }
  return text;
}

std::string contact_text(const safety::Assessment& a) {
  std::vector<std::vector<std::string>> rows{
      {"Touched", "In", "Open, V rms", "Short, mA", fmt::format("Through {:g} ohm, mA", a.options.body.hand_ohm)}};
  std::vector<std::string> left_out, no_level;
  std::vector<safety::Tip> tips;
  std::vector<std::vector<std::string>> levels{{"Touched, beside a level", "In", "Standard", "Group", "mA", "Ratio"}};
  double gap_m = 0.0;
  for (const safety::CaseAssessment& c : a.cases) {
    gap_m = std::max(gap_m, c.gap_jumped_m);
    for (const safety::Contact& k : c.contacts.places) {
      rows.push_back(
          {k.where, at_text(c), figure(k.open_v_rms), figure(1e3 * k.short_a_rms), figure(1e3 * k.contact_a_rms)});
    }
    for (const safety::BodyRow& r : c.contact_rows) {
      if (safety::is_public(r.group))
        levels.push_back({r.where + ": " + r.quantity, at_text(c), r.standard, r.group,
                          fmt::format("{} of {:g}", figure(1e3 * *r.value), 1e3 * r.level),
                          fmt::format("{:.3g}", *r.ratio)});
    }
    for (const std::string& words : c.contacts.left_out) {
      if (std::find(left_out.begin(), left_out.end(), words) == left_out.end()) left_out.push_back(words);
    }
    for (const std::string& words : c.no_current_level) {
      if (std::find(no_level.begin(), no_level.end(), words) == no_level.end()) no_level.push_back(words);
    }
    tips.insert(tips.end(), c.tips.begin(), c.tips.end());
  }
  std::string text = "\nTouched by somebody who stands beside it (indicative)\n";
  if (rows.size() > 1) text += aligned(rows);
  if (levels.size() > 1) text += aligned(levels);
  for (const std::string& words : no_level) text += wrapped(words + ".", 0, width);
  for (const std::string& words : left_out) text += wrapped("Left out: " + words + ".", 0, width);
  text += wrapped(
      fmt::format("Small dry contacts burn most. At {:g} m of altitude the highest of these voltages jumps {} between "
                  "smooth plates, and more from points.",
                  a.options.body.altitude_m, gap_m > 0.0 ? print_quantity(gap_m, Unit::metre, 3) : "no gap"),
      0, width);
  return text + wrapped(tips_text(tips, a.options.body.altitude_m), 0, width);
}

std::string wind_text(const safety::Assessment& a) {
  std::vector<std::vector<std::string>> rows{
      {"Beaufort", "up to, m/s", "Force, N", "At the pack, N m", "Counterweight, kg", "At the feet in gusts, N m"}};
  for (const safety::WindRow& r : a.wind.rows) {
    if (r.force.number > 9) continue;
    rows.push_back({fmt::format("{} {}", r.force.number, r.force.name), figure(r.speed_m_s), figure(r.force_n),
                    figure(r.pack_moment_nm), figure(r.counterweight_kg), figure(r.foot_moment_nm)});
  }
  const safety::Stand &s = a.options.stand, usual;
  const bool several = std::any_of(a.cases.begin(), a.cases.end(),
                                   [&](const safety::CaseAssessment& c) { return c.condition != a.wind.condition; });
  std::string left_out;
  for (const std::string& words : a.wind.left_out) left_out += wrapped("Not in it: " + words + ".", 0, width);
  return (several ? fmt::format("\nWind, worst in {}\n", a.wind.condition) : "\nWind\n") + aligned(rows) + left_out +
         wrapped(fmt::format("Take it down from Beaufort {} on, sooner in gusts or on a ridge.", a.wind.take_down), 0,
                 width) +
         wrapped(
             fmt::format("{:g} kg and a pack of {:g} kg hold {} N m at {:g} m beside the feet; gusts {:g} times the "
                         "mean. Not stated it is {:g} kg, {:g} kg, {:g} m, {:g} times, all assumed (--person-mass, "
                         "--pack-mass, --half-width, --gust).{} Counterweight at 0.3 m.",
                         s.person_kg, s.pack_kg, figure(a.wind.held_nm), s.half_width_m, s.gust, usual.person_kg,
                         usual.pack_kg, usual.half_width_m, usual.gust,
                         a.options.pole ? "" : " A pole is not in the file: state it with --pole."),
             0, width);
}

}  // namespace

std::vector<Option> exposure_options() {
  return {
      {"--exposure", "",
       "fields of --power at the person and at bystanders beside published levels, currents in the body, contact, "
       "wind; "
       "--csv then has the exposure's rows"},
      {"--mode", "MODE",
       "SSB, \"SSB processed\", CW, FM, RTTY, FSK, AFSK, carrier, \"slotted digital\": how much of the power counts "
       "where "
       "a level is averaged; default carrier, key down"},
      {"--talk", "SHARE", "share of the time in which you transmit, 1e-4 to 1; default 1"},
      {"--over", "T",
       "length of an over, s, 0.1 to 36000: the share counts only for overs shorter than the averaging time; default "
       "60"},
      {"--tune", "T", "length of a tune carrier, key down, s, 0 or 0.1 to 1800; default none"},
      {"--tune-every", "T", "from one tune carrier to the next, s, 1 to 86400, no less than its length; default 360"},
      {"--standard", "NAME",
       "only the levels of this standard: \"47 CFR 1.1310\", \"ICNIRP 2020\", \"ICNIRP 1998\", \"IEEE C95.1-2019\", "
       "\"Safety Code 6 (2015)\", or one of --levels; default all",
       true},
      reading({"--levels", "FILE.csv",
               "further levels, of a local code: the columns of the published table, see README", true}),
      {"--person-mass", "M", "of the person, kg, 10 to 300; default 75"},
      {"--hand", "Z", "impedance of a touch, 0 to 100 kohm; default 300"},
      {"--pack-mass", "M", "of the pack with its counterweight, kg, 0.001 to 100, for the wind; default 8"},
      {"--half-width", "W",
       "from the middle between the feet to the edge over which he would tip, m, 0.01 to 1; default 0.15"},
      {"--gust", "G", "of the mean speed, 1 to 3, for the moment at the feet; default 1.5"},
      {"--pole", "LENGTH,BASE,TIP",
       "pole that carries the whip, and its diameters, for the wind: 6m,40mm,6mm; 0.1 to 30 m, 1 to 500 mm"},
      {"--altitude", "H", "m, -500..11000; default 0"},
      {"--record", "FILE",
       "write a dated record of the evaluation: inputs, versions, levels with their status, results", false, true}};
}

std::vector<Rule> exposure_rules() {
  return {only_with({"--mode", "--talk", "--over", "--tune", "--tune-every", "--standard", "--levels", "--person-mass",
                     "--hand", "--pole", "--pack-mass", "--half-width", "--gust", "--altitude", "--record"},
                    {"--exposure", "--show exposure", "--show side"})};
}

safety::AssessOptions read_exposure(const Arguments& arguments) {
  namespace plausible = station::plausible;
  safety::AssessOptions o;
  safety::Duty& duty = o.exposure.duty;
  duty.mode = arguments.text("--mode").value_or(duty.mode);
  try {
    safety::mode_duty(duty.mode);
  } catch (const DomainError& error) {
    throw ParseError({"--mode", 0, 1}, error.what());
  }
  duty.talk_share = plausible_or(arguments, "--talk", plausible::talk_share, duty.talk_share);
  duty.over_s = plausible_or(arguments, "--over", plausible::over, duty.over_s);
  duty.tune_s = plausible_or(arguments, "--tune", plausible::mode_tune, duty.tune_s);
  if (arguments.text("--tune-every") && !(duty.tune_s > 0.0))
    throw ParseError({"--tune-every", 0, 1}, "is from one tune carrier to the next; legal: beside --tune");
  duty.tune_every_s = plausible_or(arguments, "--tune-every", plausible::mode_tune_every, duty.tune_every_s);
  if (duty.tune_s > duty.tune_every_s)
    throw ParseError({"--tune", 0, 1},
                     fmt::format("a tune carrier of {:g} s every {:g} s; legal: no longer than --tune-every",
                                 duty.tune_s, duty.tune_every_s));
  for (const std::string& file : arguments.texts("--levels")) {
    for (safety::Level& l : safety::read_levels(read_text_file(file), file)) o.exposure.levels.push_back(std::move(l));
  }
  if (const std::vector<std::string> chosen = arguments.texts("--standard"); !chosen.empty()) {
    try {
      o.exposure.levels = safety::levels_of(o.exposure.levels, chosen);
    } catch (const DomainError& error) {
      throw ParseError({"--standard", 0, 1}, error.what());
    }
  }
  o.body.mass_kg = plausible_or(arguments, "--person-mass", plausible::person_mass, o.body.mass_kg);
  o.stand.person_kg = o.body.mass_kg;
  o.stand.pack_kg = plausible_or(arguments, "--pack-mass", plausible::mass, o.stand.pack_kg);
  o.stand.half_width_m = plausible_or(arguments, "--half-width", plausible::half_width, o.stand.half_width_m);
  o.stand.gust = plausible_or(arguments, "--gust", plausible::gust, o.stand.gust);
  o.body.hand_ohm = plausible_or(arguments, "--hand", plausible::hand_contact, o.body.hand_ohm);
  o.body.altitude_m = plausible_or(arguments, "--altitude", plausible::altitude, o.body.altitude_m);
  if (const auto text = arguments.text("--pole")) {
    const std::vector<std::string> parts = split(*text, ',');
    if (parts.size() != 3)
      throw UsageError("--pole \"" + *text + "\": not a pole; legal: LENGTH,BASE,TIP, as 6m,40mm,6mm");
    std::vector<double> v;
    std::size_t column = 1;
    for (const std::string& part : parts) {
      const station::Plausible& range = v.empty() ? plausible::pole_length : plausible::pole_diameter;
      v.push_back(read_plausible(part, range, {"--pole", 0, column}));
      column += part.size() + 1;
    }
    o.pole = safety::Pole{v[0], v[1], v[2]};
  }
  return o;
}

std::vector<safety::ExposureCase> exposure_cases(const std::vector<wire::ConditionSweep>& sweeps, double power_w,
                                                 const safety::ExposureOptions& options) {
  std::vector<safety::ExposureCase> cases;
  for (const wire::ConditionSweep& c : sweeps) {
    for (const wire::ConditionPoint& p : c.points)
      cases.push_back(safety::with_bare({c.wires, p.solution, power_w}, options));
  }
  return cases;
}

void add_exposure(Json& point, const safety::Assessment& assessment, const std::string& condition,
                  double frequency_hz) {
  const auto found =
      std::find_if(assessment.cases.begin(), assessment.cases.end(), [&](const safety::CaseAssessment& a) {
        return a.condition == condition && a.frequency_hz == frequency_hz;
      });
  if (found == assessment.cases.end()) return;
  const safety::CaseAssessment& c = *found;
  Json rows = Json::array(), distances = Json::array(), fields = Json::array(), no_level = Json::array();
  for (const safety::FieldAt& f : c.fields) {
    fields.push_back({{"where", f.where},
                      {"point_m", json_point(f.point_m)},
                      {"whole_body", f.whole_body},
                      {"e_v_m", f.e_v_m},
                      {"h_a_m", f.h_a_m},
                      {"e_with_person_v_m", json_or_null(f.e_with_person_v_m)},
                      {"h_with_person_a_m", json_or_null(f.h_with_person_a_m)},
                      {"clearance_m", f.clearance_m}});
  }
  for (const safety::StandardGroup& s : c.no_level) no_level.push_back({{"standard", s.standard}, {"group", s.group}});
  for (const safety::ExposureRow& r : c.rows) rows.push_back(exposure_row_json(r));
  for (const safety::LevelReach& r : c.reaches) {
    Json directions = Json::array();
    for (const safety::Reach& d : r.directions)
      directions.push_back({{"azimuth_deg", d.azimuth_deg},
                            {"distance_m", d.distance_m},
                            {"height_m", d.height_m},
                            {"above_there", d.above_there}});
    distances.push_back({{"around", r.around},
                         {"standard", r.level.standard},
                         {"group", r.level.group},
                         {"scope", r.level.scope},
                         {"farthest_m", r.farthest.distance_m},
                         {"directions", std::move(directions)}});
  }
  point["exposure"] = std::move(rows);
  point["exposure_fields"] = std::move(fields);
  point["exposure_no_level"] = std::move(no_level);
  point["exposure_left_out"] = c.nobody_stands;
  point["exposure_distances"] = std::move(distances);
  point["body"] = body_json(c.body);
  if (c.body.in_model) point["body"]["rows"] = body_rows_json(c.body_rows);
  point["contact"] = contact_json(c.contacts, c.gap_jumped_m, c.tips);
  point["contact"]["rows"] = body_rows_json(c.contact_rows);
  point["contact"]["no_level"] = c.no_current_level;
}

Json exposure_json(const safety::Assessment& a) {
  Json verdicts = Json::array(), facts = Json::array();
  for (const safety::Verdict& v : a.verdicts) verdicts.push_back(verdict_json(v));
  for (const safety::ContactFact& f : safety::contact_facts())
    facts.push_back({{"fact", f.fact}, {"value", f.value}, {"status", f.status}, {"source", f.source}});
  Json exposure = duty_json(a.options.exposure.duty);
  exposure.update({{"verdicts", std::move(verdicts)},
                   {"body_verdict", safety::body_finding(safety::all_body_rows(a))},
                   {"wind", wind_json(a.wind, a.options.stand)},
                   {"contact_facts", std::move(facts)},
                   {"caveats", safety::exposure_caveats()}});
  return exposure;
}

std::string exposure_csv(const safety::Assessment& a) {
  std::string text = csv_row(
      {"condition",   "frequency_hz",      "power_w",           "where",       "x_m",      "y_m",   "z_m",   "e_v_m",
       "h_a_m",       "e_with_person_v_m", "h_with_person_a_m", "clearance_m", "standard", "group", "scope", "averaged",
       "power_share", "level_e_v_m",       "level_h_a_m",       "ratio",       "status",   "note"});
  const auto number = [](const std::optional<double>& v) { return v ? csv_number(*v) : std::string{}; };
  for (const safety::CaseAssessment& c : a.cases) {
    for (const safety::ExposureRow& r : c.rows) {
      text += csv_row({csv_text(r.condition),
                       csv_number(r.frequency_hz),
                       csv_number(r.power_w),
                       csv_text(r.field.where),
                       csv_number(r.field.point_m.x_m),
                       csv_number(r.field.point_m.y_m),
                       csv_number(r.field.point_m.z_m),
                       csv_number(r.field.e_v_m),
                       csv_number(r.field.h_a_m),
                       number(r.field.e_with_person_v_m),
                       number(r.field.h_with_person_a_m),
                       csv_number(r.field.clearance_m),
                       csv_text(r.level.standard),
                       csv_text(r.level.group),
                       csv_text(r.level.scope),
                       r.averaged ? "true" : "false",
                       csv_number(r.power_share),
                       number(r.level.e_v_m),
                       number(r.level.h_a_m),
                       number(r.ratio),
                       csv_text(r.level.status),
                       csv_text(r.note)});
    }
  }
  for (const safety::Verdict& v : a.verdicts) text += "# " + v.text + "\n";
  if (const std::string of_body = safety::body_finding(safety::all_body_rows(a)); !of_body.empty())
    text += "# " + of_body + "\n";
  for (const std::string& words : no_level_lines(a)) text += "# " + words + "\n";
  for (const std::string& words : safety::exposure_caveats()) text += "# " + words + "\n";
  return text;
}

std::string exposure_text(const safety::Assessment& a) {
  std::string text = wrapped(
      fmt::format("Exposure: {}, counted only where a level is averaged", safety::duty_words(a.options.exposure.duty)),
      0, width);
  for (const safety::Verdict& v : a.verdicts)
    text += wrapped(fmt::format("{} [{}]", v.text, v.worst.level.status), 3, width);
  if (const std::string of_body = safety::body_finding(safety::all_body_rows(a)); !of_body.empty())
    text += wrapped(of_body, 3, width);
  for (const std::string& words : no_level_lines(a)) text += wrapped(words, 3, width);
  text += fields_text(a) + reaches_text(a) + body_text(a) + contact_text(a) + wind_text(a) + "\n";
  for (const std::string& words : safety::exposure_caveats()) text += wrapped(words, 0, width);
  return text;
}

std::string whip_record(const safety::Assessment& assessment, const Arguments& arguments, const std::string& input_text,
                        std::int64_t seconds) {
  std::vector<safety::RecordInput> inputs{{*arguments.text("FILE.toml"), input_text}};
  for (const std::string& file : arguments.texts("--levels")) inputs.push_back({file, read_text_file(file)});
  return safety::exposure_record(record_head("stile-whip", arguments, std::move(inputs), seconds), assessment);
}

}  // namespace stile::tools
