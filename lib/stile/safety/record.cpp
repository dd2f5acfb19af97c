#include <stile/safety/record.hpp>

#include <algorithm>

#include <fmt/format.h>

#include <stile/base/quantity.hpp>

namespace stile::safety {
namespace {

std::string level_text(const LevelAt& l) {
  std::string text = fmt::format("{}, {}, {}:", l.standard, l.group, l.scope);
  if (l.e_v_m) text += fmt::format(" E {:.6g} V/m", *l.e_v_m);
  if (l.h_a_m) text += fmt::format(" H {:.6g} A/m", *l.h_a_m);
  text +=
      l.averaging_s > 0.0 ? fmt::format(", averaged over {:g} min", l.averaging_s / 60.0) : ", not averaged in time";
  text += fmt::format("; {}; {}", l.status, l.source);
  return l.note.empty() ? text : text + "; " + l.note;
}

std::string field_text(const FieldAt& f) {
  std::string text =
      fmt::format("{} ({:.3f}, {:.3f}, {:.3f} m), {:.3f} m from the nearest conductor: E {:.5g} V/m, H {:.5g} A/m",
                  f.where, f.point_m.x_m, f.point_m.y_m, f.point_m.z_m, f.clearance_m, f.e_v_m, f.h_a_m);
  if (f.e_with_person_v_m) text += fmt::format(" (with the person E {:.5g} V/m", *f.e_with_person_v_m);
  if (f.h_with_person_a_m) text += fmt::format(", H {:.5g} A/m", *f.h_with_person_a_m);
  return f.e_with_person_v_m ? text + ")" : text;
}

std::string beside_level_text(const BodyRow& r) {
  const std::string over =
      r.averaged ? fmt::format("averaged, {:.4g} of the power counts", r.power_share) : std::string("not averaged");
  const std::string value = r.ratio ? fmt::format("{:.4g}", *r.value) : "no value";
  return fmt::format("{} ({}): {} {} beside {:g} of {}, {}, {}: {}; {}; {}{}", r.where, r.scope, r.quantity, value,
                     r.level, r.standard, r.group, over, r.ratio ? fmt::format("ratio {:.3g}", *r.ratio) : "no ratio",
                     r.status, r.source, r.note.empty() ? "" : "; " + r.note);
}

std::string row_text(const ExposureRow& r) {
  std::string text = field_text(r.field);
  text += fmt::format("; {}, {}, {}, {}: ", r.level.standard, r.level.group, r.level.scope,
                      r.averaged ? fmt::format("averaged, {:.4g} of the power counts", r.power_share)
                                 : std::string("not averaged"));
  return text + (r.ratio ? fmt::format("ratio {:.4g}", *r.ratio) : "no ratio: " + r.note);
}

}  // namespace

std::string utc_text(std::int64_t seconds) {
  std::int64_t day = seconds / 86400, rest = seconds % 86400;
  if (rest < 0) {
    rest += 86400;
    --day;
  }
  // Days counted from 0000-03-01, so that the leap day ends a year.
  day += 719468;
  const std::int64_t era = (day >= 0 ? day : day - 146096) / 146097, of_era = day - era * 146097;
  const std::int64_t year_of_era = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
  const std::int64_t of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  const std::int64_t shifted = (5 * of_year + 2) / 153, month = shifted < 10 ? shifted + 3 : shifted - 9;
  const std::int64_t year = year_of_era + era * 400 + (month <= 2 ? 1 : 0);
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z", year, month, of_year - (153 * shifted + 2) / 5 + 1,
                     rest / 3600, rest / 60 % 60, rest % 60);
}

namespace {

/// The lines of a record.
struct Lines {
  std::string text;
  void line(const std::string& words) { text += words + "\n"; }
  void heading(const std::string& words) { text += "\n" + words + "\n"; }
};

void begin(Lines& r, const RecordHead& head, const Duty& duty, const BodyFacts& body) {
  r.line("Record of an exposure evaluation");
  r.line("date: " + utc_text(head.seconds));
  r.line("program: " + head.program);
  r.line("command: " + head.command);
  r.heading("Inputs");
  r.line(fmt::format("mode: {}, factor {:g} ({}; {})", duty.mode, mode_duty(duty.mode).factor,
                     mode_duty(duty.mode).status, mode_duty(duty.mode).source));
  r.line(
      fmt::format("share of talk: {:g}; length of an over: {:g} s{}", duty.talk_share, duty.over_s, tune_words(duty)));
  r.line(fmt::format("mass of the person: {:g} kg; contact of who touches: {:g} ohm; altitude: {:g} m", body.mass_kg,
                     body.hand_ohm, body.altitude_m));
}

void add_case(Lines& r, const std::string& condition, double frequency_hz, double power_w, bool person_in_model) {
  r.line(fmt::format("\"{}\" at {}: {} into the antenna, key down; the person is {}", condition,
                     print_quantity(frequency_hz, Unit::hertz, 9), print_quantity(power_w, Unit::watt, 6),
                     person_in_model ? "in the model" : "not in the model: of the usual size, 0.4 m from the feed"));
}

void add_inputs_and_method(Lines& r, const RecordHead& head) {
  for (const RecordInput& input : head.inputs) {
    r.line(fmt::format("file: {}", input.name));
    for (std::size_t from = 0; from < input.text.size();) {
      const std::size_t end = std::min(input.text.find('\n', from), input.text.size());
      r.line("  | " + input.text.substr(from, end - from));
      from = end + 1;
    }
  }
  r.heading("Method");
  r.line(
      "Fields from the currents on all conductors of the file, solved over flat uniform ground; no far-field formula. "
      "Rms, key down, without the person, at the same power into the antenna.");
  r.line(
      "Whole-body levels: root of the mean square at 20 heights of a standing person; local and not averaged ones: the "
      "place itself. ratio = root of the mean power's share, where averaged, times the larger of E/level and H/level.");
  r.heading("Levels");
}

/// Those of the rows that were not told yet.
void add_levels(Lines& r, std::vector<std::string>& told, const std::vector<ExposureRow>& rows) {
  for (const ExposureRow& row : rows) {
    std::string words =
        fmt::format("at {}: {}", print_quantity(row.frequency_hz, Unit::hertz, 6), level_text(row.level));
    if (std::find(told.begin(), told.end(), words) != told.end()) continue;
    r.line(words);
    told.push_back(std::move(words));
  }
}

void add_silent(Lines& r, const std::vector<StandardGroup>& silent) {
  for (const StandardGroup& s : silent)
    r.line(fmt::format("{}, {}: no level of fields at this frequency, so no ratio", s.standard, s.group));
}

void add_body(Lines& r, const BodyExposure& body) {
  r.line(
      fmt::format("above {:.4g} kg the whole-body restriction of 0.08 W/kg cannot be exceeded", body.enough_mass_kg));
  if (body.in_model)
    r.line(fmt::format("into the person: {:.4g} W ({:.3g} to {:.3g} W), {:.4g} W/kg ({:.3g} to {:.3g} W/kg)",
                       body.person_w, body.person_range_w.low, body.person_range_w.high, body.whole_body_w_kg,
                       body.whole_body_range_w_kg.low, body.whole_body_range_w_kg.high));
  for (const LimbCurrent& l : body.limbs)
    r.line(fmt::format("{}: {:.4g} A ({:.3g} to {:.3g} A), indicative {:.3g} W/kg over 10 g ({:.2g} to {:.2g} W/kg)",
                       l.where, l.current_a_rms, l.current_range_a.low, l.current_range_a.high, l.sar_10g_w_kg,
                       l.sar_10g_range_w_kg.low, l.sar_10g_range_w_kg.high));
  if (body.in_model)
    r.line(fmt::format("both feet: {:.4g} A ({:.3g} to {:.3g} A)", body.both_feet_a_rms, body.both_feet_range_a.low,
                       body.both_feet_range_a.high));
  for (const std::string& words : body.left_out) r.line("left out of the spread: " + words);
}

void add_contacts(Lines& r, const Contacts& contacts) {
  r.line(fmt::format("across the terminals: {:.4g} V peak", contacts.terminal_v_peak));
  for (const Contact& k : contacts.places)
    r.line(fmt::format("touched at {}: {:.4g} V rms open, {:.4g} A short, {:.4g} A through {:g} ohm", k.where,
                       k.open_v_rms, k.short_a_rms, k.contact_a_rms, contacts.hand_ohm));
  for (const std::string& words : contacts.left_out) r.line("left out: " + words);
}

void add_tips(Lines& r, const std::vector<Tip>& tips, double gap_jumped_m) {
  for (const Tip& t : tips)
    r.line(
        fmt::format("{}: {:.4g} V peak; air glows there from {:.4g} V peak at the least where it is rounded to {:g} m, "
                    "perhaps from {:.4g} V peak at an edge of {:g} m (assumed)",
                    t.where, t.v_peak, t.smooth_onset_v_peak, t.radius_m, t.cut_onset_v_peak, cut_radius_m));
  r.line(fmt::format("the highest of these voltages jumps {:.4g} m between smooth plates", gap_jumped_m));
}

void add_stand(Lines& r, const Stand& stand) {
  r.heading("Wind");
  r.line(fmt::format("person {:g} kg, pack {:g} kg, half of the stand {:g} m, gusts {:g} times the mean",
                     stand.person_kg, stand.pack_kg, stand.half_width_m, stand.gust));
}

void add_wind(Lines& r, const AntennaWind& wind) {
  const WindTable& table = wind.table;
  const std::string name = wind.antenna.empty() ? "" : wind.antenna + ", ";
  r.line(fmt::format("{}\"{}\", {}: held {:.4g} N m", name, table.condition,
                     wind.pole ? fmt::format("pole of {:g} m, {:g} to {:g} m thick", wind.pole->length_m,
                                             wind.pole->base_diameter_m, wind.pole->tip_diameter_m)
                               : "no pole",
                     table.held_nm));
  for (const WindRow& row : table.rows)
    r.line(fmt::format(
        "Beaufort {}, up to {:g} m/s: {:.4g} N, {:.4g} N m at the pack, counterweight {:.4g} kg, {:.4g} N m at "
        "the feet",
        row.force.number, row.speed_m_s, row.force_n, row.pack_moment_nm, row.counterweight_kg, row.foot_moment_nm));
  r.line(fmt::format("take it down from Beaufort {} on", table.take_down));
  for (const std::string& words : table.left_out) r.line("left out of the wind: " + words);
}

void end(Lines& r) {
  r.heading("Facts about contact");
  for (const ContactFact& f : contact_facts())
    r.line(fmt::format("{}{}; {}; {}", f.fact, f.value.empty() ? "" : ": " + f.value, f.status, f.source));
  r.heading("What this does not say");
  for (const std::string& words : exposure_caveats()) r.line(words);
}

}  // namespace

std::string exposure_record(const RecordHead& head, const Assessment& a) {
  Lines r;
  begin(r, head, a.options.exposure.duty, a.options.body);
  for (const CaseAssessment& c : a.cases) add_case(r, c.condition, c.frequency_hz, c.power_w, c.person_in_model);
  add_inputs_and_method(r, head);
  std::vector<std::string> told;
  for (const CaseAssessment& c : a.cases) add_levels(r, told, c.rows);

  r.heading("Verdicts");
  for (const Verdict& v : a.verdicts) r.line(v.text);
  if (const std::string of_body = body_finding(all_body_rows(a)); !of_body.empty()) r.line(of_body);

  for (const CaseAssessment& c : a.cases) {
    r.heading(fmt::format("\"{}\" at {}", c.condition, print_quantity(c.frequency_hz, Unit::hertz, 6)));
    for (const FieldAt& f : c.fields)
      r.line(fmt::format("field, {}: {}", f.whole_body ? "mean along the body" : "at the place", field_text(f)));
    for (const std::string& words : c.nobody_stands) r.line("left out: " + words);
    add_silent(r, c.no_level);
    for (const ExposureRow& row : c.rows) r.line(row_text(row));
    for (const LevelReach& reach : c.reaches)
      r.line(fmt::format("{}, {}, {} is {} {:.3g} m from {}", reach.level.standard, reach.level.group,
                         reach.level.scope,
                         reach.farthest.above_there ? "not met at the end of the search," : "met beyond",
                         reach.farthest.distance_m, reach.around));
    add_body(r, c.body);
    for (const BodyRow& row : c.body_rows) r.line(beside_level_text(row));
    add_contacts(r, c.contacts);
    for (const BodyRow& row : c.contact_rows) r.line("touched at " + beside_level_text(row));
    for (const std::string& words : c.no_current_level) r.line(words);
    add_tips(r, c.tips, c.gap_jumped_m);
  }
  add_stand(r, a.options.stand);
  add_wind(r, {"", a.options.pole, a.wind});
  end(r);
  return r.text;
}

std::string exposure_record(const RecordHead& head, const UsesRecord& record) {
  Lines r;
  begin(r, head, record.exposure.duty, record.body);
  for (const UseExposure& u : record.uses) {
    r.line(fmt::format("{}, {}: {}", u.band, u.arrangement, duty_words(u.duty)));
    for (const UseCondition& c : u.conditions)
      add_case(r, c.body.condition, c.body.frequency_hz, c.body.power_w, c.body.in_model);
  }
  if (record.uses.empty()) r.line("no antenna of wires is fed: no field was computed, which says nothing about fields");
  add_inputs_and_method(r, head);
  std::vector<std::string> told;
  for (const UseExposure& u : record.uses) add_levels(r, told, u.rows);

  for (const UseExposure& u : record.uses) {
    r.heading(fmt::format("{}, {}", u.band, u.arrangement));
    for (const Verdict& v : u.verdicts) r.line(v.text);
    if (const std::string of_body = body_finding(u.body_rows); !of_body.empty()) r.line(of_body);
    add_silent(r, u.no_level);
    if (!u.conditions.empty()) {
      for (const std::string& words :
           without_current_level(record.exposure.levels, u.conditions.front().body.frequency_hz))
        r.line(words);
    }
    for (const ExposureRow& row : u.rows) r.line(fmt::format("in \"{}\": {}", row.condition, row_text(row)));
    for (const BodyRow& row : u.body_rows) r.line(fmt::format("in \"{}\": {}", row.condition, beside_level_text(row)));
    for (const UseCondition& c : u.conditions) {
      r.line(fmt::format("\"{}\":", c.body.condition));
      add_body(r, c.body);
      add_contacts(r, c.contacts);
      if (c.coil_v_peak > 0.0) r.line(fmt::format("along the coil at the base: {:.4g} V peak", c.coil_v_peak));
      add_tips(r, c.tips, c.gap_jumped_m);
    }
  }
  add_stand(r, record.stand);
  for (const AntennaWind& wind : record.winds) add_wind(r, wind);
  if (record.winds.empty())
    r.line("no wires that are carried were solved: no moment of the wind was computed, which says nothing about wind");
  end(r);
  return r.text;
}

}  // namespace stile::safety
