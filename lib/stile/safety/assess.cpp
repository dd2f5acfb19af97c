#include <stile/safety/assess.hpp>

#include <algorithm>
#include <numbers>

#include <stile/base/errors.hpp>

namespace stile::safety {

Assessment assess(std::span<const ExposureCase> cases, const AssessOptions& given, const AssessProgress& progress) {
  require(!cases.empty(), "there is no antenna to assess");
  Assessment all{given, {}, {}, {}};
  all.options.exposure.solve = wire::with_tables(given.exposure.solve);
  const ExposureOptions& options = all.options.exposure;
  const double pressure_pa = air_pressure_pa(given.altitude_m);
  std::vector<std::vector<ExposureRow>> rows;
  for (const ExposureCase& one : cases) {
    if (progress) progress(all.cases.size(), cases.size());
    CaseAssessment c;
    c.condition = one.wires.name;
    c.frequency_hz = one.solution.frequency_hz;
    c.power_w = one.power_w;
    c.fields = fields_at_people(one, options);
    c.no_level = without_level(options.levels, c.frequency_hz);
    c.nobody_stands = bystanders_left_out(one.wires);
    c.rows = exposure_rows(one, c.fields, options);
    c.reaches = level_reaches(one, options);
    c.body = body_exposure(one, given.mass_kg, options);
    c.person_in_model = c.body.in_model;
    c.contacts = contacts(one, given.hand_ohm, options);
    double highest_v_peak = c.contacts.terminal_v_peak;
    for (const Contact& k : c.contacts.places)
      highest_v_peak = std::max(highest_v_peak, std::numbers::sqrt2 * k.open_v_rms);
    c.contact_rows = contact_rows(c.contacts, options.duty);
    c.gap_jumped_m = hf_gap_jumped_m(highest_v_peak, pressure_pa);
    rows.push_back(c.rows);
    all.cases.push_back(std::move(c));
  }
  all.verdicts = exposure_verdicts(cases, rows, options);
  all.wind = wind_table(cases.front().wires, given.pole, given.stand);
  all.options.exposure.solve.tables.reset();  // large, and of no use to a reader
  return all;
}

std::vector<std::string> public_findings(std::span<const Verdict> verdicts) {
  const Verdict* worst = nullptr;
  for (const Verdict& v : verdicts) {
    if (is_public(v.worst.level.group) && (!worst || *v.worst.ratio > *worst->worst.ratio)) worst = &v;
  }
  if (!worst) return {};
  return {worst->text};
}

std::vector<WorstField> worst_fields(const Assessment& assessment) {
  std::vector<WorstField> all;
  for (const CaseAssessment& c : assessment.cases) {
    for (const FieldAt& f : c.fields) {
      auto same = std::find_if(all.begin(), all.end(),
                               [&](const WorstField& w) { return w.where == f.where && w.whole_body == f.whole_body; });
      if (same == all.end()) {
        WorstField w;
        w.where = f.where;
        w.whole_body = f.whole_body;
        same = all.insert(all.end(), w);
      }
      if (f.e_v_m > same->e_v_m) {
        same->e_v_m = f.e_v_m;
        same->e_condition = c.condition;
        same->e_frequency_hz = c.frequency_hz;
        same->e_with_person_v_m = f.e_with_person_v_m;
      }
      if (f.h_a_m > same->h_a_m) {
        same->h_a_m = f.h_a_m;
        same->h_condition = c.condition;
        same->h_frequency_hz = c.frequency_hz;
      }
    }
  }
  return all;
}

std::vector<LevelAt> public_levels_at(const Assessment& assessment) {
  require(!assessment.cases.empty(), "there is no case");
  std::vector<LevelAt> levels = levels_at(assessment.options.exposure.levels, assessment.cases.front().frequency_hz);
  std::erase_if(levels, [](const LevelAt& l) { return !is_public(l.group); });
  return levels;
}

std::vector<WorstReach> worst_reaches(const Assessment& assessment) {
  std::vector<WorstReach> all;
  for (const CaseAssessment& c : assessment.cases) {
    for (const LevelReach& r : c.reaches) {
      auto same = std::find_if(all.begin(), all.end(), [&](const WorstReach& w) {
        return w.level.standard == r.level.standard && w.level.group == r.level.group && w.level.scope == r.level.scope;
      });
      if (same == all.end()) {
        WorstReach w;
        w.level = r.level;
        same = all.insert(all.end(), w);
      }
      if (r.wire_end) {
        same->wire_end_m = std::max(same->wire_end_m, r.farthest.distance_m);
        continue;
      }
      const auto least = std::min_element(r.directions.begin(), r.directions.end(),
                                          [](const Reach& a, const Reach& b) { return a.distance_m < b.distance_m; });
      if (least != r.directions.end()) same->least_direction_m = std::max(same->least_direction_m, least->distance_m);
      if (r.farthest.distance_m > same->farthest_m) {
        same->farthest_m = r.farthest.distance_m;
        same->farthest_condition = c.condition;
      }
    }
  }
  return all;
}

}  // namespace stile::safety
