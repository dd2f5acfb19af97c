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

std::string exposure_record(const RecordHead& head, const Assessment& a) {
  std::string text = "Record of an exposure evaluation\n";
  const auto line = [&](const std::string& words) { text += words + "\n"; };
  const auto heading = [&](const std::string& words) { text += "\n" + words + "\n"; };
  line("date: " + utc_text(head.seconds));
  line("program: " + head.program);
  line("command: " + head.command);

  const Duty& duty = a.options.exposure.duty;
  heading("Inputs");
  line(fmt::format("mode: {}, factor {:g} ({}; {})", duty.mode, mode_duty(duty.mode).factor,
                   mode_duty(duty.mode).status, mode_duty(duty.mode).source));
  line(fmt::format("share of talk: {:g}; length of an over: {:g} s{}", duty.talk_share, duty.over_s, tune_words(duty)));
  line(fmt::format("mass of the person: {:g} kg; contact of who touches: {:g} ohm; altitude: {:g} m",
                   a.options.body.mass_kg, a.options.body.hand_ohm, a.options.body.altitude_m));
  for (const std::string& words : head.further) line(words);
  for (const CaseAssessment& c : a.cases)
    line(fmt::format("\"{}\" at {}: {} into the antenna, key down; the person is {}", c.condition,
                     print_quantity(c.frequency_hz, Unit::hertz, 9), print_quantity(c.power_w, Unit::watt, 6),
                     c.person_in_model ? "in the model" : "not in the model: of the usual size, 0.4 m from the feed"));
  line(fmt::format("file: {}", head.input_name));
  for (std::size_t from = 0; from < head.input_text.size();) {
    const std::size_t end = std::min(head.input_text.find('\n', from), head.input_text.size());
    line("  | " + head.input_text.substr(from, end - from));
    from = end + 1;
  }

  heading("Method");
  line("Fields from the currents on all conductors of the file, solved over flat uniform ground; no far-field formula. "
       "Rms, "
       "key down, without the person, at the same power into the antenna.");
  line(
      "Whole-body levels: root of the mean square at 20 heights of a standing person; local and not averaged ones: the "
      "place itself. ratio = root of the mean power's share, where averaged, times the larger of E/level and H/level.");

  heading("Levels");
  std::vector<std::string> told;
  for (const CaseAssessment& c : a.cases) {
    for (const ExposureRow& r : c.rows) {
      const std::string words =
          fmt::format("at {}: {}", print_quantity(r.frequency_hz, Unit::hertz, 6), level_text(r.level));
      if (std::find(told.begin(), told.end(), words) == told.end()) told.push_back(words);
    }
  }
  for (const std::string& words : told) line(words);

  heading("Verdicts");
  for (const Verdict& v : a.verdicts) line(v.text);
  if (const std::string of_body = body_finding(all_body_rows(a)); !of_body.empty()) line(of_body);

  for (const CaseAssessment& c : a.cases) {
    heading(fmt::format("\"{}\" at {}", c.condition, print_quantity(c.frequency_hz, Unit::hertz, 6)));
    for (const FieldAt& f : c.fields)
      line(fmt::format("field, {}: {}", f.whole_body ? "mean along the body" : "at the place", field_text(f)));
    for (const std::string& words : c.nobody_stands) line("left out: " + words);
    for (const StandardGroup& s : c.no_level)
      line(fmt::format("{}, {}: no level of fields at this frequency, so no ratio", s.standard, s.group));
    for (const ExposureRow& r : c.rows) line(row_text(r));
    for (const LevelReach& r : c.reaches)
      line(fmt::format("{}, {}, {} is {} {:.3g} m from {}", r.level.standard, r.level.group, r.level.scope,
                       r.farthest.above_there ? "not met at the end of the search," : "met beyond",
                       r.farthest.distance_m, r.around));
    line(fmt::format("above {:.4g} kg the whole-body restriction of 0.08 W/kg cannot be exceeded",
                     c.body.enough_mass_kg));
    if (c.body.in_model)
      line(fmt::format("into the person: {:.4g} W ({:.3g} to {:.3g} W), {:.4g} W/kg", c.body.person_w,
                       c.body.person_range_w.low, c.body.person_range_w.high, c.body.whole_body_w_kg));
    for (const LimbCurrent& l : c.body.limbs)
      line(fmt::format("{}: {:.4g} A ({:.3g} to {:.3g} A), indicative {:.3g} W/kg over 10 g ({:.2g} to {:.2g} W/kg)",
                       l.where, l.current_a_rms, l.current_range_a.low, l.current_range_a.high, l.sar_10g_w_kg,
                       l.sar_10g_range_w_kg.low, l.sar_10g_range_w_kg.high));
    if (c.body.in_model)
      line(fmt::format("both feet: {:.4g} A ({:.3g} to {:.3g} A)", c.body.both_feet_a_rms, c.body.both_feet_range_a.low,
                       c.body.both_feet_range_a.high));
    for (const std::string& words : c.body.left_out) line("left out of the spread: " + words);
    for (const BodyRow& r : c.body_rows) line(beside_level_text(r));
    line(fmt::format("across the terminals: {:.4g} V peak", c.contacts.terminal_v_peak));
    for (const Contact& k : c.contacts.places)
      line(fmt::format("touched at {}: {:.4g} V rms open, {:.4g} A short, {:.4g} A through {:g} ohm", k.where,
                       k.open_v_rms, k.short_a_rms, k.contact_a_rms, c.contacts.hand_ohm));
    for (const BodyRow& r : c.contact_rows) line("touched at " + beside_level_text(r));
    for (const std::string& words : c.no_current_level) line(words);
    for (const std::string& words : c.contacts.left_out) line("left out: " + words);
    for (const Tip& t : c.tips)
      line(fmt::format(
          "{}: {:.4g} V peak; air glows there from {:.4g} V peak at the least where it is rounded to {:g} m, "
          "perhaps from {:.4g} V peak at an edge of {:g} m (assumed)",
          t.where, t.v_peak, t.smooth_onset_v_peak, t.radius_m, t.cut_onset_v_peak, cut_radius_m));
    line(fmt::format("the highest of these voltages jumps {:.4g} m between smooth plates", c.gap_jumped_m));
  }

  heading("Wind");
  line(fmt::format(
      "person {:g} kg, pack {:g} kg, half of the stand {:g} m, gusts {:g} times the mean: held {:.4g} N m; {}",
      a.options.stand.person_kg, a.options.stand.pack_kg, a.options.stand.half_width_m, a.options.stand.gust,
      a.wind.held_nm, a.options.pole ? "with the pole of the command" : "no pole"));
  for (const WindRow& r : a.wind.rows)
    line(fmt::format(
        "Beaufort {}, up to {:g} m/s: {:.4g} N, {:.4g} N m at the pack, counterweight {:.4g} kg, {:.4g} N m at "
        "the feet",
        r.force.number, r.speed_m_s, r.force_n, r.pack_moment_nm, r.counterweight_kg, r.foot_moment_nm));
  line(fmt::format("take it down from Beaufort {} on", a.wind.take_down));

  heading("Facts about contact");
  for (const ContactFact& f : contact_facts())
    line(fmt::format("{}{}; {}; {}", f.fact, f.value.empty() ? "" : ": " + f.value, f.status, f.source));

  heading("What this does not say");
  for (const std::string& words : exposure_caveats()) line(words);
  return text;
}

}  // namespace stile::safety
