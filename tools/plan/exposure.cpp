#include "plan/exposure.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/safety/levels.hpp>

#include "cli/exposure.hpp"
#include "cli/json_rows.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

constexpr std::size_t width = 112;

}  // namespace

std::vector<std::string> exposure_lines(const plan::Plan& plan) {
  std::vector<std::string> lines;
  for (const safety::UseExposure& u : plan.exposures) {
    for (const std::string& finding : safety::public_findings(u.verdicts, u.body_rows))
      lines.push_back(u.band + ", " + u.arrangement + ": " + finding);
    for (const safety::StandardGroup& s : u.no_level)
      lines.push_back(fmt::format("{}, {}: {}, {}: says nothing of fields at this frequency", u.band, u.arrangement,
                                  s.standard, s.group));
  }
  return lines;
}

std::vector<std::string> level_lines(const plan::Plan& plan, bool sources) {
  std::vector<std::string> lines;
  for (const safety::UseExposure& u : plan.exposures) {
    for (const safety::ExposureRow& row : u.rows) {
      const safety::LevelAt& l = row.level;
      std::string line = fmt::format("{}, {}, {}: {}", l.standard, l.group, l.scope, l.status);
      if (sources) line += fmt::format(" ({})", l.source);
      if (std::find(lines.begin(), lines.end(), line) == lines.end()) lines.push_back(std::move(line));
    }
  }
  std::sort(lines.begin(), lines.end());
  return lines;
}

std::vector<std::string> duty_lines(const plan::Plan& plan) {
  std::vector<std::pair<std::string, std::vector<std::string>>> all;  // words, and the arrangements that transmit so
  for (const safety::UseExposure& u : plan.exposures) {
    const std::string words = safety::duty_words(u.duty);
    auto same = std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.first == words; });
    if (same == all.end()) same = all.insert(all.end(), {words, {}});
    if (std::find(same->second.begin(), same->second.end(), u.arrangement) == same->second.end())
      same->second.push_back(u.arrangement);
  }
  std::vector<std::string> lines;
  for (const auto& [words, arrangements] : all)
    lines.push_back(fmt::format("{}{}, counted only where a level is averaged",
                                all.size() > 1 ? fmt::format("{}: ", fmt::join(arrangements, ", ")) : "", words));
  return lines;
}

namespace {

/// Three figures without an exponent, at whose sign a browser breaks the line: "0.0000926", "11318".
std::string three_figures(double value) {
  if (!(std::abs(value) > 0.0)) return "0";
  const std::string exponent = fmt::format("{:.2e}", value);
  const int digits = 2 - std::stoi(exponent.substr(exponent.find('e') + 1));
  std::string text = fmt::format("{:.{}f}", value, std::max(0, digits));
  if (digits > 0) text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

/// "112 (90.1 to 130)".
std::string with_range(double value, const Range& range, double scale = 1.0) {
  return fmt::format("{} ({} to {})", three_figures(scale * value), three_figures(scale * range.low),
                     three_figures(scale * range.high));
}

/// Of one band and arrangement the worst condition for each figure, as cells behind those two names.
std::vector<std::string> body_cells(const safety::UseExposure& u) {
  const safety::BodyExposure* whole = nullptr;
  const safety::LimbCurrent *hand = nullptr, *foot = nullptr;
  const safety::Contact* touched = nullptr;
  double open_v_rms = 0.0, base_v_peak = 0.0, coil_v_peak = 0.0;
  for (const safety::UseCondition& c : u.conditions) {
    base_v_peak = std::max(base_v_peak, c.contacts.terminal_v_peak);
    coil_v_peak = std::max(coil_v_peak, c.coil_v_peak);
    for (const safety::Contact& k : c.contacts.places) {
      open_v_rms = std::max(open_v_rms, k.open_v_rms);
      if (!touched || k.contact_a_rms > touched->contact_a_rms) touched = &k;
    }
    if (!c.body.in_model) continue;
    if (!whole || c.body.whole_body_w_kg > whole->whole_body_w_kg) whole = &c.body;
    for (const safety::LimbCurrent& l : c.body.limbs) {
      const safety::LimbCurrent*& worst = l.where == "hand and wrist" ? hand : foot;
      if (!worst || l.current_a_rms > worst->current_a_rms) worst = &l;
    }
  }
  const auto limb = [](const safety::LimbCurrent* l) {
    return l ? std::vector<std::string>{with_range(l->current_a_rms, l->current_range_a, 1e3),
                                        with_range(l->sar_10g_w_kg, l->sar_10g_range_w_kg)}
             : std::vector<std::string>{"-", "-"};
  };
  std::vector<std::string> cells{whole ? with_range(whole->whole_body_w_kg, whole->whole_body_range_w_kg) : "-"};
  for (const safety::LimbCurrent* l : {hand, foot}) {
    for (std::string& cell : limb(l)) cells.push_back(std::move(cell));
  }
  cells.push_back(figure(base_v_peak));
  cells.push_back(coil_v_peak > 0.0 ? figure(coil_v_peak) : "-");
  cells.push_back(touched ? figure(open_v_rms) : "-");
  cells.push_back(touched ? figure(1e3 * touched->contact_a_rms) : "-");
  return cells;
}

/// Of the standards that count, what they set for the figures of the table: "0.08 (public) and 0.4 W/kg (occupational)
/// for ...".
std::string sar_limits_text(const std::vector<safety::Level>& levels) {
  std::vector<std::string> said;
  for (const safety::SarLimit& l : safety::published_sar_limits()) {
    const bool whole = l.where == "whole body";
    const bool trunk = l.where.find("head and trunk") != std::string::npos;  // of which nothing is computed
    if (!safety::counts(levels, l.standard) || trunk) continue;
    std::string text = fmt::format("{:g} (public) and {:g} W/kg (occupational) {} {}", l.public_w_kg,
                                   l.occupational_w_kg, whole ? "for the" : "over", l.where);
    if (std::find(said.begin(), said.end(), text) == said.end()) said.push_back(std::move(text));
  }
  return said.empty() ? "" : fmt::format(" Published beside them: {}.", fmt::join(said, "; "));
}

}  // namespace

std::vector<std::vector<std::string>> field_rows(const plan::Plan& plan) {
  std::vector<std::vector<std::string>> rows{
      {"Fields without the person, key down", "head, V/m", "A/m", "back, V/m", "A/m", "whole body, V/m", "A/m"}};
  for (const safety::UseExposure& u : plan.exposures) {
    std::vector<std::string> row{u.band + ", " + u.arrangement};
    for (const char* place : {"head", "back", "whole body"}) {
      std::optional<double> e_v_m, h_a_m;
      for (const safety::ExposureRow& r : u.rows) {
        if (!r.field.carrier || r.field.where != place) continue;
        e_v_m = std::max(e_v_m.value_or(0.0), r.field.e_v_m);
        h_a_m = std::max(h_a_m.value_or(0.0), r.field.h_a_m);
      }
      for (const std::optional<double>& field : {e_v_m, h_a_m}) row.push_back(field ? figure(*field) : "-");
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

BodyTable body_table(const station::Station& station, const plan::Plan& plan) {
  BodyTable table{{{"In the body, and touched", "W/kg", "hand, mA", "hand, W/kg over 10 g", "foot, mA",
                    "foot, W/kg over 10 g", "base, V peak", "along the coil, V peak", "touched, V rms open",
                    fmt::format("mA through {:g} ohm", station.exposure.body.hand_ohm)}},
                  {}};
  std::vector<safety::Tip> tips;
  bool hand = false, person = false;
  for (const safety::UseExposure& u : plan.exposures) {
    table.rows.push_back({u.band + ", " + u.arrangement});
    for (std::string& cell : body_cells(u)) table.rows.back().push_back(std::move(cell));
    for (const safety::UseCondition& c : u.conditions) {
      hand = hand || c.body.contact;
      person = person || c.body.in_model;
      tips.insert(tips.end(), c.tips.begin(), c.tips.end());
    }
  }
  if (table.rows.size() == 1) return {};
  table.notes.push_back(fmt::format(
      "Each the worst of all conditions at the design frequency, key down, the base too (the comparison has its worst "
      "over the part in use); W/kg of the whole body of {:g} kg, that over 10 g indicative, in brackets the spread "
      "over conductivity +-30 % and stature +-0.15 m.{} Contact and limb currents as in the "
      "lines above.",
      station.exposure.body.mass_kg, sar_limits_text(station.exposure.levels)));
  if (!person)
    table.notes.push_back("No person is in the wires: tables [set] and [person] of a wires file put one there.");
  else if (!hand)
    table.notes.push_back(
        "No condition has a hand on the set, where most goes into a body: state one of the kind \"hand on "
        "set\" in the wires file.");
  if (const std::string text = tips_text(tips, station.exposure.body.altitude_m); !text.empty())
    table.notes.push_back(text);
  return table;
}

namespace {

/// What the text leaves out.
constexpr const char* elsewhere =
    "This is a digest: --json has every field, current and touched place of every arrangement, band and condition, and "
    "--csv "
    "the same in lines that begin with \"# exposure,\", \"# body,\", \"# contact,\" and \"# wind,\".";

std::string body_text(const station::Station& station, const plan::Plan& plan) {
  const BodyTable table = body_table(station, plan);
  std::string text = aligned(field_rows(plan)) + "\n" + aligned(table.rows);
  for (const std::string& note : table.notes) text += wrapped(note, 0, width);
  return text;
}

}  // namespace

void add_plan_exposure(Json& result, const station::Station& station, const plan::Plan& plan) {
  Json rows = Json::array(), verdicts = Json::array(), silent = Json::array(), bodies = Json::array(),
       contacts = Json::array(), body_rows = Json::array();
  for (const safety::UseExposure& u : plan.exposures) {
    const auto add = [&](Json& all, Json members) {
      Json row{{"band", u.band}, {"arrangement", u.arrangement}};
      row.update(members);
      all.push_back(std::move(row));
    };
    for (const safety::ExposureRow& r : u.rows) add(rows, exposure_row_json(r));
    for (const safety::Verdict& v : u.verdicts) add(verdicts, verdict_json(v));
    for (const safety::StandardGroup& s : u.no_level) add(silent, {{"standard", s.standard}, {"group", s.group}});
    for (const safety::UseCondition& c : u.conditions) {
      Json of_body{{"condition", c.body.condition}, {"frequency_hz", c.body.frequency_hz}, {"power_w", c.body.power_w}};
      Json of_contact = of_body;
      of_body.update(body_json(c.body));
      of_contact.update(contact_json(c.contacts, c.gap_jumped_m, c.tips));
      of_contact["coil_v_peak"] = c.coil_v_peak;
      add(bodies, std::move(of_body));
      add(contacts, std::move(of_contact));
    }
    for (const Json& row : body_rows_json(u.body_rows)) add(body_rows, row);
  }
  Json duties = Json::array();
  for (const safety::UseExposure& u : plan.exposures) {
    const auto same = [&](const Json& known) { return known["arrangement"] == u.arrangement; };
    if (std::any_of(duties.begin(), duties.end(), same)) continue;
    duties.push_back({{"arrangement", u.arrangement}});
    duties.back().update(duty_json(u.duty));
  }
  result["exposure_duty"] = std::move(duties);
  result["exposure"] = std::move(rows);
  result["exposure_verdicts"] = std::move(verdicts);
  result["exposure_no_level"] = std::move(silent);
  result["body"] = std::move(bodies);
  result["contact"] = std::move(contacts);
  result["body_rows"] = std::move(body_rows);
  result["wind"] = Json::array();
  for (const safety::AntennaWind& w : plan.winds) {
    Json one{{"antenna", w.antenna}, {"pole", nullptr}};
    if (w.pole)
      one["pole"] = {{"length_m", w.pole->length_m},
                     {"base_diameter_m", w.pole->base_diameter_m},
                     {"tip_diameter_m", w.pole->tip_diameter_m}};
    one.update(wind_json(w.table, station.exposure.stand));
    result["wind"].push_back(std::move(one));
  }
}

std::vector<std::string> wind_lines(const station::Station& station, const plan::Plan& plan) {
  std::vector<std::string> lines;
  for (const safety::AntennaWind& w : plan.winds) {
    lines.push_back(safety::wind_words(w));
    for (const std::string& words : w.table.left_out) lines.push_back("Not in it: " + words + ".");
  }
  if (lines.empty()) {
    const bool stated = std::any_of(station.antennas.begin(), station.antennas.end(),
                                    [](const station::Antenna& a) { return a.pole.has_value(); });
    if (stated)
      lines.emplace_back("not computed for the pole of [wind]: it takes a whip on a pack that is stated as wires. That "
                         "says nothing about wind; see the cautions");
    return lines;
  }
  const safety::Stand& s = station.exposure.stand;
  const bool pole = std::any_of(plan.winds.begin(), plan.winds.end(),
                                [](const safety::AntennaWind& w) { return w.pole.has_value(); });
  lines.push_back(fmt::format(
      "{:g} kg and a pack of {:g} kg hold {} N m at {:g} m beside the feet; take it down sooner in gusts or "
      "on a ridge. What [body] and [wind] do not state is assumed.{}",
      s.person_kg, s.pack_kg, figure(plan.winds.front().table.held_nm), s.half_width_m,
      pole ? "" : " A pole is not in it: state it as [[wind.pole]]."));
  return lines;
}

namespace {

std::string wind_text(const station::Station& station, const plan::Plan& plan) {
  std::string text;
  for (const std::string& line : wind_lines(station, plan)) text += wrapped(line, 2, width);
  return text.empty() ? text : "Wind on what is carried\n" + text + "\n";
}

}  // namespace

std::string plan_exposure_text(const station::Station& station, const plan::Plan& plan) {
  std::string text;
  for (const std::string& line : exposure_lines(plan)) text += wrapped(line, 2, width);
  if (!text.empty()) {
    std::string head = exposure_head + std::string("\n");
    for (const std::string& line : duty_lines(plan)) head += wrapped(line, 2, width);
    text = head + text + "\n" + body_text(station, plan) + wrapped(elsewhere, 0, width);
    for (const std::string& words : safety::exposure_caveats()) text += wrapped(words, 0, width);
    text += wrapped(fmt::format("Statuses: {}.", fmt::join(level_lines(plan, false), "; ")), 0, width);
    text += "\n";
  }
  return text + wind_text(station, plan);
}

std::string plan_exposure_csv(const station::Station& station, const plan::Plan& plan) {
  std::string text;
  for (const std::string& line : duty_lines(plan)) text += "# exposure: " + line + "\n";
  for (const std::string& line : exposure_lines(plan)) text += "# exposure: " + line + "\n";
  for (const std::string& note : body_table(station, plan).notes) text += "# body: " + note + "\n";
  for (const std::string& line : level_lines(plan, true)) text += "# level: " + line + "\n";
  for (const std::string& line : wind_lines(station, plan)) text += "# wind: " + line + "\n";
  Json tables = Json::object();
  add_plan_exposure(tables, station, plan);
  for (const auto& [subject, rows] : tables.items()) text += csv_tables(subject, rows);
  return text;
}

std::string plan_record(const station::Station& station, const plan::Plan& plan, const station::StationText& stated,
                        const std::vector<station::NamedFile>& named, const Arguments& arguments,
                        std::int64_t seconds) {
  std::vector<safety::RecordInput> inputs{{stated.file, stated.text}};
  for (const station::NamedFile& file : named) inputs.push_back({file.path, file.text});
  const station::Exposure& e = station.exposure;
  safety::UsesRecord record{{}, e.body, e.stand, plan.exposures, plan.winds};
  record.exposure.levels = e.levels;
  record.exposure.duty = e.duty;
  return safety::exposure_record(record_head("stile-plan", arguments, std::move(inputs), seconds), record);
}

}  // namespace stile::tools
