#include <stile/safety/assess.hpp>

#include <algorithm>
#include <numeric>
#include <utility>

#include <stile/base/errors.hpp>

namespace stile::safety {

Assessment assess(std::span<const ExposureCase> cases, const AssessOptions& given, const AssessProgress& progress) {
  require(!cases.empty(), "there is no antenna to assess");
  Assessment all{given, {}, {}, {}};
  all.options.exposure.solve = wire::with_tables(given.exposure.solve);
  const ExposureOptions& options = all.options.exposure;
  const double pressure_pa = air_pressure_pa(given.body.altitude_m);
  std::vector<std::vector<ExposureRow>> rows;
  for (const ExposureCase& given_case : cases) {
    if (progress) progress(all.cases.size(), cases.size());
    const ExposureCase one = with_bare(given_case, options);
    CaseAssessment c;
    c.condition = one.wires.name;
    c.frequency_hz = one.solution.frequency_hz;
    c.power_w = one.power_w;
    c.fields = fields_at_people(one, options);
    c.no_level = without_level(options.levels, c.frequency_hz);
    c.nobody_stands = bystanders_left_out(one.wires);
    c.rows = exposure_rows(one, c.fields, options);
    c.reaches = level_reaches(one, options);
    c.body = body_exposure(one, given.body.mass_kg, options);
    c.person_in_model = c.body.in_model;
    c.body_rows = body_rows(c.body, options);
    c.contacts = contacts(one, given.body.hand_ohm, options);
    c.contact_rows = contact_rows(c.contacts, options);
    c.no_current_level = without_current_level(options.levels, c.frequency_hz);
    c.tips = tips(one, given.body.altitude_m, options);
    c.gap_jumped_m = hf_gap_jumped_m(highest_v_peak(c.contacts), pressure_pa);
    rows.push_back(c.rows);
    all.cases.push_back(std::move(c));
  }
  all.verdicts = exposure_verdicts(cases, rows, options);
  std::vector<wire::WireCase> wires;
  for (const ExposureCase& c : cases) wires.push_back(c.wires);
  all.wind = worst_wind(wires, given.pole, given.stand);
  all.options.exposure.solve.tables.reset();  // large, and of no use to a reader
  return all;
}

std::vector<std::string> public_findings(std::span<const Verdict> verdicts, std::span<const BodyRow> rows) {
  const Verdict* worst = nullptr;
  for (const Verdict& v : verdicts) {
    if (is_public(v.worst.level.group) && (!worst || *v.worst.ratio > *worst->worst.ratio)) worst = &v;
  }
  const std::string of_body = body_finding(rows);
  std::string line = worst ? worst->text : "";
  if (!of_body.empty()) line += (line.empty() ? "" : "; ") + of_body;
  return line.empty() ? std::vector<std::string>{} : std::vector<std::string>{line};
}

std::vector<BodyRow> all_body_rows(const Assessment& assessment) {
  std::vector<BodyRow> rows;
  for (const CaseAssessment& c : assessment.cases) {
    rows.insert(rows.end(), c.body_rows.begin(), c.body_rows.end());
    rows.insert(rows.end(), c.contact_rows.begin(), c.contact_rows.end());
  }
  return rows;
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

std::vector<std::size_t> worst_first(const Assessment& assessment) {
  std::vector<std::size_t> order(assessment.cases.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto badness = [&](std::size_t n) {
    double ratio = 0.0, e_v_m = 0.0;
    for (const ExposureRow& r : assessment.cases[n].rows) {
      if (is_public(r.level.group) && r.ratio) ratio = std::max(ratio, *r.ratio);
    }
    for (const FieldAt& f : assessment.cases[n].fields) {
      if (f.carrier) e_v_m = std::max(e_v_m, f.e_v_m);
    }
    return std::pair(ratio, e_v_m);
  };
  std::stable_sort(order.begin(), order.end(), [&](std::size_t x, std::size_t y) { return badness(x) > badness(y); });
  return order;
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
        same->wire_end_above_there = same->wire_end_above_there || r.farthest.above_there;
        continue;
      }
      const auto least = std::min_element(r.directions.begin(), r.directions.end(),
                                          [](const Reach& a, const Reach& b) { return a.distance_m < b.distance_m; });
      if (least != r.directions.end()) same->least_direction_m = std::max(same->least_direction_m, least->distance_m);
      same->above_there = same->above_there || r.farthest.above_there;
      if (r.farthest.distance_m > same->farthest_m) {
        same->farthest_m = r.farthest.distance_m;
        same->farthest_condition = c.condition;
      }
    }
  }
  return all;
}

}  // namespace stile::safety
