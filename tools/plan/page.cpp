#include "plan/page.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/quantity.hpp>
#include <stile/plan/operating_times.hpp>
#include <stile/plan/worst_figures.hpp>
#include <stile/plots/schematic.hpp>
#include <stile/station/files_named.hpp>

#include "cli/command_line.hpp"
#include "plan/carrying.hpp"
#include "plan/energy.hpp"
#include "plan/exposure.hpp"
#include "plan/far_end.hpp"
#include "plan/own_search.hpp"
#include "plan/reach.hpp"
#include "plan/words.hpp"

namespace stile::tools {
namespace {

using plots::HtmlBlock;
using plots::HtmlFigure;
using plots::HtmlList;
using plots::HtmlListing;
using plots::HtmlSection;
using plots::HtmlTable;
using plots::HtmlText;

constexpr HtmlText::Weight strong = HtmlText::Weight::strong, small = HtmlText::Weight::small;

/// Of a file among the inputs; a longer one, a sweep as it comes from an instrument, is named with its length.
constexpr std::ptrdiff_t most_lines_shown = 400;

/// What a hand does between conditions on a band.
std::string touched(const plan::ArrangementResult& a, const plan::HandWork& work) {
  return station::describe_kind(a.kind).automatic ? "nothing: it sets itself" : work_text(work);
}

std::string hours_of(const std::vector<plan::ArrangementTime>& times, std::size_t arrangement) {
  const auto time = std::find_if(times.begin(), times.end(),
                                 [&](const plan::ArrangementTime& t) { return t.arrangement == arrangement; });
  return time == times.end() ? "not known"
                             : fmt::format("{:.1f} ({:.1f}..{:.1f})", time->time.time_h, time->time.time_range_h.low,
                                           time->time.time_range_h.high);
}

/// What counts on a band, as the heading of its figure would say it.
const char* counted_words(plan::Counted counted) {
  return counted == plan::Counted::path       ? "towards the other station"
         : counted == plan::Counted::radiated ? "radiated"
                                              : "into the antenna";
}

HtmlSection verdict_section(const Answers& answers) {
  const station::Station& station = answers.station;
  const std::vector<plan::ArrangementTime> times = plan::operating_times(station);
  HtmlTable table{"What to take on each band; each figure is that of the worst normal condition",
                  {{"Band", "Take", "dB below full power", "which is the power", "Radiated, dB below it",
                    "A hand sets anew", "At the base, peak", "Hours on the battery"}}};
  HtmlList by_itself;
  for (std::size_t b = 0; b < answers.plan.bands.size(); ++b) {
    const plan::BandResult& band = answers.plan.bands[b];
    if (!band.taken) {
      table.rows.push_back({band.band.name, "nothing listed holds"});
      continue;
    }
    if (const std::string warning = taken_search_warning(answers, b); !warning.empty())
      by_itself.items.push_back(band.band.name + ", " + warning);
    const plan::ArrangementResult& a = band.arrangements[*band.taken];
    const plan::WorstFigures w = plan::worst_figures(a);
    table.rows.push_back({band.band.name, a.name + (band.choice == plan::Choice::undecided ? " (undecided)" : ""),
                          range_text(a.counted_db, a.counted_range_db), counted_words(band.counted),
                          a.radiated_db && a.radiated_range_db ? range_text(*a.radiated_db, *a.radiated_range_db)
                                                               : known_db(a.radiated_db),
                          touched(a, answers.orders[*band.taken].on_band[b]),
                          voltage_text(w.load_voltage_v_peak, w.load_voltage_high_v_peak),
                          hours_of(times, *band.taken)});
  }
  HtmlSection section{"What to take", {table}};
  if (!by_itself.items.empty()) {
    section.blocks.push_back(
        HtmlText{"Tuners are told set as well as their parts allow. What these do not reach:", strong});
    section.blocks.push_back(std::move(by_itself));
  }
  section.blocks.push_back(
      HtmlText{"In brackets: what uncertain inputs make of it. Rank is by the power named in the row, not by "
               "SWR: a match with SWR 1 may radiate nothing.",
               small});
  for (const std::string& note : {counted_note(answers.plan), ground_note(station)}) {
    if (!note.empty()) section.blocks.push_back(HtmlText{note, small});
  }
  return section;
}

HtmlSection why_section(const Answers& answers) {
  const station::Station& station = answers.station;
  HtmlSection section{"Why", {}};
  for (std::size_t number = 0; number < answers.plan.bands.size(); ++number) {
    const plan::BandResult& band = answers.plan.bands[number];
    const station::Band& b = band.band;
    section.blocks.push_back(HtmlText{b.name + ": " + band.verdict + ".", strong});
    if (const std::string warning = taken_search_warning(answers, number); !warning.empty())
      section.blocks.push_back(HtmlText{warning, strong});
    if (const std::string path = path_text(b); !path.empty()) section.blocks.push_back(HtmlText{path, small});
    std::vector<std::vector<std::string>> rows = comparison_rows(station, band, false);
    rows[0][0] = "Arrangement";
    rows[0].push_back("Within the limits");
    section.blocks.push_back(HtmlTable{
        fmt::format("{}: {} to {}, matched at {}", b.name, print_quantity(b.use_low_hz, Unit::hertz, 6),
                    print_quantity(b.use_high_hz, Unit::hertz, 6), print_quantity(b.design_hz, Unit::hertz, 6)),
        std::move(rows)});
    if (!band.taken) continue;
    const plan::ArrangementResult& a = band.arrangements[*band.taken];
    const plan::ConditionResult& c = a.conditions[a.worst];
    if (c.possible)
      section.blocks.push_back(HtmlText{fmt::format("Of {} with \"{}\", {}: {}.",
                                                    print_quantity(station.transmitter.source.power_w, Unit::watt),
                                                    a.name, c.condition, budget_text(c))});
    if (const std::string walking = walking_text(a); !walking.empty()) section.blocks.push_back(HtmlText{walking});
  }
  return section;
}

/// The circuit as a picture so narrow that its type can be read where a phone is as wide as it.
std::string circuit_svg(const plots::Schematic& schematic) {
  constexpr double width_mm = 80.0, margin_mm = 1.0;
  plots::Drawing page;
  page.width_mm = width_mm;
  page.height_mm = plots::schematic_height_mm(schematic, width_mm - 2.0 * margin_mm) + 2.0 * margin_mm;
  plots::draw_schematic(page, margin_mm, margin_mm, width_mm - 2.0 * margin_mm, schematic);
  return plots::svg_text(page);
}

/// What is set in each condition, taps included.
/// @param turns  of the wound coil, 0 where there is none
HtmlTable settings_table(const plan::BandResult& band, const plan::ArrangementResult& a, double turns) {
  HtmlTable table{fmt::format("{}, {}: {}", band.band.name, a.name,
                              station::describe_kind(a.kind).automatic ? "what it sets itself to" : "what to set"),
                  {{"Condition", "Set", "SWR"}}};
  for (const plan::ConditionResult& c : a.conditions) {
    const std::string name = c.condition + (c.role == station::Role::accident ? " (accident)" : "");
    if (c.possible) {
      table.rows.push_back({name, setting_text(c.setting, turns), swr_text(c.swr)});
    } else {
      table.rows.push_back({name, "cannot be set"});
    }
  }
  return table;
}

/// The circuit of what is taken in its worst condition.
void add_circuit(HtmlSection& section, const plan::BandResult& band, const plan::ArrangementResult& a,
                 const plan::ConditionResult& c, double turns) {
  const std::string as_set = fmt::format("{}: {}, as set in \"{}\": ", band.band.name, a.name, c.condition);
  const plots::Schematic schematic = plots::schematic_of(c, turns);
  std::string parts;
  if (schematic.autotransformer) {  // its turns are one part, which its elements do not show
    parts = setting_text(c.setting, turns);
  } else {
    for (std::size_t n = 0; n < schematic.elements.size(); ++n) {
      const network::Element& e = schematic.elements[n];
      parts += (n == 0 ? "" : ", ") + network::place_name(e.place) + " " + network::kind_name(e.part) + " " +
               network::value_text(e.part, 4) + (schematic.tapped == n ? " (" + schematic.tap + ")" : "");
    }
    if (parts.empty()) parts = "no part";
  }
  if (schematic.before) parts = "cable of " + network::value_text(*schematic.before) + ", " + parts;
  if (schematic.after) parts += ", cable of " + network::value_text(*schematic.after);
  section.blocks.push_back(
      HtmlFigure{circuit_svg(schematic), as_set + parts, "Circuit from transmitter to antenna: " + parts, true});
  if (const std::string stress = stress_text(c); !stress.empty())
    section.blocks.push_back(HtmlText{"What the parts stand there: " + stress + ".", small});
}

HtmlSection build_section(const Answers& answers) {
  HtmlSection section{"What to build", {}};
  const plan::Plan& plan = answers.plan;
  std::vector<bool> taken(answers.station.arrangements.size(), false);
  for (const plan::BandResult& band : plan.bands) {
    if (!band.taken) continue;
    const plan::ArrangementResult& a = band.arrangements[*band.taken];
    const plan::ConditionResult& c = a.conditions[a.worst];
    if (!c.possible) continue;
    taken[*band.taken] = true;
    const std::optional<coil::Winding>& winding = plan.windings[*band.taken];
    const double turns = winding ? coil::total_turns(*winding) : 0.0;
    add_circuit(section, band, a, c, turns);
    section.blocks.push_back(settings_table(band, a, turns));
  }
  const std::vector<std::string> all = carrying(answers).parts;
  HtmlList parts;
  for (std::size_t n = 0; n < answers.parts.size(); ++n) {
    if (taken[answers.parts[n].arrangement]) parts.items.push_back(all[n]);
  }
  if (parts.items.empty()) return section;
  section.blocks.push_back(HtmlText{"Parts and mass of what is taken", strong});
  section.blocks.push_back(std::move(parts));
  return section;
}

HtmlSection chart_section(const std::vector<PagePicture>& pictures) {
  HtmlSection section{"Where the power goes, and SWR", {}};
  for (const PagePicture& picture : pictures) {
    if (!picture.svg.empty())
      section.blocks.push_back(
          HtmlFigure{picture.svg, picture.caption,
                     picture.caption + (picture.figures.empty() ? ". Its figures are in the picture alone."
                                                                : ". Its figures: " + picture.figures + ".")});
  }
  if (section.blocks.empty()) section.blocks.push_back(HtmlText{"No chart could be drawn: gnuplot is not installed."});
  return section;
}

HtmlSection wander_section(const Answers& answers) {
  HtmlSection section{
      "How far it may wander",
      {HtmlText{"Each setting left as it is, at the design frequency, within the limit of SWR.", small}}};
  for (std::size_t b = 0; b < answers.plan.bands.size(); ++b) {
    const plan::BandResult& band = answers.plan.bands[b];
    const plan::SettingsReach* reach = band.taken ? reach_of(answers, b, *band.taken) : nullptr;
    if (reach == nullptr) continue;
    HtmlTable table{fmt::format("{}, {}: {:.0f} % of the ways between conditions are served", band.band.name,
                                band.arrangements[*band.taken].name, 100.0 * reach->share_inside),
                    {{"Condition", "How far"}}};
    for (const plan::ConditionReach& c : reach->conditions)
      table.rows.push_back({answers.station.conditions[c.condition].name, c.words});
    section.blocks.push_back(std::move(table));
  }
  return section;
}

HtmlSection far_section(const Answers& answers) {
  HtmlSection section{"At the other end", {}};
  std::vector<std::vector<std::string>> rows = far_end_rows(answers);
  rows[0][0] = "Arrangement";
  section.blocks.push_back(HtmlTable{"How much weaker each arrangement is", std::move(rows)});
  for (const std::string& note : far_end_notes(answers)) section.blocks.push_back(HtmlText{note, small});
  return section;
}

HtmlSection carrying_section(const Answers& answers) {
  Carrying c = carrying(answers);
  c.rows[0] = {"Arrangement",         "Mass",      "Volume", "Between conditions", "Through all bands",
               "In the file's order", "Best order"};
  HtmlSection section{"What it asks of the walker",
                      {HtmlTable{"Mass, volume and hands of each arrangement", std::move(c.rows)},
                       HtmlText{c.note, small}, HtmlText{"Parts", strong}, HtmlList{std::move(c.parts)}}};
  c.signal[0][0] = "Arrangement";
  section.blocks.push_back(HtmlTable{c.signal_title, std::move(c.signal)});
  if (!c.resets.empty()) {
    section.blocks.push_back(HtmlText{"Setting anew against leaving alone", strong});
    section.blocks.push_back(HtmlList{std::move(c.resets)});
  }
  section.blocks.push_back(
      HtmlText{"What no other beats, whether it holds or not: in mass and power, in hands and power", strong});
  section.blocks.push_back(HtmlList{std::move(c.unbeaten)});
  return section;
}

/// Of a table, the first column and those from..to (excluded).
std::vector<std::vector<std::string>> columns(const std::vector<std::vector<std::string>>& rows, std::size_t from,
                                              std::size_t to) {
  std::vector<std::vector<std::string>> some;
  for (const std::vector<std::string>& row : rows) {
    std::vector<std::string>& cells = some.emplace_back(1, row.front());
    for (std::size_t n = from; n < to; ++n) cells.push_back(row[n]);
  }
  return some;
}

HtmlSection safety_section(const station::Station& station, const plan::Plan& plan) {
  HtmlSection section{"Safety", {}};
  const std::vector<std::string> lines = exposure_lines(plan);
  if (lines.empty()) {
    section.blocks.push_back(
        HtmlText{"No field was computed: the antenna is not stated as wires. That says nothing about "
                 "fields; see the cautions."});
  } else {
    section.blocks.push_back(HtmlText{exposure_head + std::string(".")});
    for (const std::string& line : duty_lines(plan)) section.blocks.push_back(HtmlText{line + ".", small});
    section.blocks.push_back(HtmlList{lines});
  }
  if (BodyTable body = body_table(station, plan); !body.rows.empty()) {
    body.rows[0][0] = "Band, arrangement";
    section.blocks.push_back(
        HtmlTable{"What goes into the body, at the design frequency", columns(body.rows, 1, 1 + body_columns)});
    section.blocks.push_back(HtmlTable{"What is touched, at the design frequency",
                                       columns(body.rows, 1 + body_columns, body.rows[0].size())});
    for (const std::string& note : body.notes) section.blocks.push_back(HtmlText{note, small});
  }
  for (const std::string& words : safety::exposure_caveats()) section.blocks.push_back(HtmlText{words, small});
  if (!lines.empty())
    section.blocks.push_back(
        HtmlText{"The status of each level stands in the last section, Versions and sources.", small});
  if (const std::vector<std::string> wind = wind_lines(station, plan); !wind.empty()) {
    section.blocks.push_back(HtmlText{"Wind on what is carried", strong});
    section.blocks.push_back(HtmlList{wind});
  }
  return section;
}

HtmlSection inputs_section(const station::StationText& stated) {
  HtmlSection section{"Inputs", {HtmlListing{stated.file, stated.text}}};
  for (const station::NamedFile& file : station::files_named(stated)) {
    const auto lines = std::count(file.text.begin(), file.text.end(), '\n');
    if (lines <= most_lines_shown)
      section.blocks.push_back(HtmlListing{file.path, file.text});
    else
      section.blocks.push_back(HtmlText{fmt::format("{}: {} lines, not shown.", file.path, lines)});
  }
  return section;
}

HtmlSection energy_section(const Answers& answers) {
  const station::Station& station = answers.station;
  HtmlSection section{"Energy, and what a tuner finds by itself", {}};
  if (station.supply) {
    std::vector<std::vector<std::string>> rows = energy_rows(station);
    const std::vector<std::string> heads{"Arrangement", "Mean current", "Hours",   "Hours, from and to", "Tuner costs",
                                         "And takes",   "Held",         "To tune", "1 Ah more",          "1 kg more"};
    std::copy(heads.begin(), heads.end(), rows[0].begin());  // what becomes of a setting without supply may follow
    section.blocks.push_back(HtmlTable{"Operating time", std::move(rows)});
    section.blocks.push_back(HtmlText{energy_note(station), small});
  } else {
    section.blocks.push_back(HtmlText{"The station states no battery."});
  }
  if (answers.searches.empty()) return section;
  std::vector<std::vector<std::string>> rows = own_search_rows(answers);
  rows[0] = {"Band and tuner", "Condition",  "Ends at SWR",    "Loses", "More than the best",
             "Readings",       "Set offers", "Enough to tune", "Why"};
  section.blocks.push_back(HtmlTable{"What a tuner's own search reaches", std::move(rows)});
  section.blocks.push_back(HtmlText{own_search_note, small});
  return section;
}

HtmlSection uncertain_section(const plan::Plan& plan) {
  HtmlSection section{"What is uncertain, and what to measure", {}};
  for (const plan::BandResult& band : plan.bands) {
    if (band.measures.empty()) continue;
    HtmlTable table{band.band.name + ", undecided: what settles it", {{"Measure", "Settles it in"}}};
    for (const plan::Measure& m : band.measures)
      table.rows.push_back({m.what, fmt::format("{:.0f} % of its possible outcomes", 100.0 * m.settles)});
    section.blocks.push_back(std::move(table));
  }
  if (section.blocks.empty()) section.blocks.push_back(HtmlText{"No band is undecided."});
  HtmlList only_as_stated;
  for (const plan::BandResult& band : plan.bands) {
    for (const plan::ArrangementResult& a : band.arrangements) {
      if (a.ok && !a.holds_throughout)
        only_as_stated.items.push_back(band.band.name + ", " + a.name + ": holds only as stated; " + a.why);
    }
  }
  if (!only_as_stated.items.empty()) section.blocks.push_back(only_as_stated);
  return section;
}

HtmlSection caution_section(const plan::Plan& plan) {
  HtmlTable table{"All cautions of this case", {{"Hazard", "What to do", "Stands on"}}};
  for (const safety::Caution& c : plan.cautions) table.rows.push_back({c.hazard, c.text, c.basis});
  return {"Cautions", {table}};
}

/// What the figures of this plan rest on; the book and the library's comments have the rest.
HtmlSection sources_section(const Answers& answers) {
  const station::Station& station = answers.station;
  const plan::Plan& plan = answers.plan;
  HtmlSection section{
      "Versions and sources",
      {HtmlText{version_text("stile-plan") +
                ". Arithmetic 1e-9; loads are as good as their source: real ground leaves 30 to 50 % on "
                "the lost part of the resistance, coil Q 5 to 15 %."},
       HtmlText{"What this plan rests on", strong}}};
  HtmlList list;
  const auto add = [&](bool here, const char* words) {
    if (here) list.items.emplace_back(words);
  };
  const auto drawn = [](const station::Antenna& antenna) {
    return std::any_of(antenna.loads.begin(), antenna.loads.end(),
                       [](const station::AntennaLoad& l) { return l.solved_from.has_value(); });
  };
  const auto wound = [](const std::optional<coil::Winding>& w) { return w.has_value(); };
  const bool wires = std::any_of(station.antennas.begin(), station.antennas.end(), drawn);
  add(wires, "Wires: Harrington, Field Computation by Moment Methods, 1968.");
  add(wires, "Wires over ground: Michalski and Zheng, IEEE Trans. AP-38(3), 1990 (formulation C; from memory, "
             "rederived). Soils by name: Rec. ITU-R P.527-3, 1992 (as seen in a public list).");
  add(wires, "Ground under a short wire that lies: web page Ground resistance measurements, undated; measured under "
             "one radial.");
  add(std::any_of(plan.windings.begin(), plan.windings.end(), wound),
      "Coils: rings after Maxwell, Rayleigh and Niven (mutual inductance: NIST Digital Library of Mathematical "
      "Functions, "
      "19.34); skin effect: F. E. Terman, Radio Engineers' Handbook, 1943, tables 18 and 20, compared.");
  add(station.supply.has_value(),
      "Battery: Peukert, Ueber die Abhaengigkeit der Kapacitaet von der Entladestromstaerke bei Bleiakkumulatoren, "
      "Elektrotechnische Zeitschrift 20, 1897 (second-hand).");
  add(true, "S units: IARU Region 1 Technical Recommendation R.1, Brighton 1981 (second-hand).");
  add(station.contacts.has_value(), "Contacts lost to fading: no source. A model, spare signal spread normally in dB; "
                                    "a spread that is not stated is from "
                                    "memory.");
  const std::vector<std::string> levels = level_lines(plan, true);
  section.blocks.push_back(std::move(list));
  if (!levels.empty()) {
    section.blocks.push_back(HtmlText{"Levels of exposure, with how each was read", strong});
    section.blocks.push_back(HtmlList{levels});
  }
  section.blocks.push_back(
      HtmlText{"Sources of the cautions stand beside them; all others in the comments of the library.", small});
  return section;
}

}  // namespace

plots::HtmlPage plan_page(const Answers& answers, const std::vector<PagePicture>& pictures,
                          const station::StationText& stated) {
  const station::Station& station = answers.station;
  const plan::Plan& plan = answers.plan;
  plots::HtmlPage page;
  page.title = station.name;
  page.subtitle = station.note;
  page.sections = {verdict_section(answers),  why_section(answers),          build_section(answers),
                   chart_section(pictures),   wander_section(answers),       far_section(answers),
                   carrying_section(answers), safety_section(station, plan), energy_section(answers),
                   uncertain_section(plan),   caution_section(plan)};
  page.sections.push_back(inputs_section(stated));
  page.sections.push_back(sources_section(answers));
  page.foot = "Licensed practice and the codes of the place decide, not this page.";
  return page;
}

}  // namespace stile::tools
