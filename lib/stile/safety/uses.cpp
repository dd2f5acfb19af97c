#include <stile/safety/uses.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>

namespace stile::safety {
namespace {

/// All that goes with the power into one case, for 1 W.
struct CaseAtOneWatt {
  std::vector<FieldAt> fields;
  BodyExposure body;
  Contacts contacts;
  std::vector<Tip> tips;
};

/// Keeps the row with the larger ratio of those that `same` says are one; none is less than any.
template <class Row, class Same>
void keep_worst(std::vector<Row>& all, const Row& row, const Same& same) {
  const auto known = std::find_if(all.begin(), all.end(), [&](const Row& other) { return same(other, row); });
  if (known == all.end())
    all.push_back(row);
  else if (row.ratio && (!known->ratio || *row.ratio > *known->ratio))
    *known = row;
}

}  // namespace

std::vector<UseExposure> use_exposures(std::span<const ExposureCase> given_cases, std::span<const PoweredUse> uses,
                                       const ExposureOptions& given, const BodyFacts& facts) {
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  const double pressure_pa = air_pressure_pa(facts.altitude_m);
  std::vector<ExposureCase> cases(given_cases.begin(), given_cases.end());
  std::vector<CaseAtOneWatt> one_watt(cases.size());
  ExposureOptions single = options;
  single.threads = 1;
  in_blocks(cases.size(), 1, options.threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t n = first; n < last; ++n) {
      cases[n].power_w = 1.0;
      cases[n] = with_bare(std::move(cases[n]), single);
      one_watt[n] = {fields_at_people(cases[n], single), body_exposure(cases[n], facts.mass_kg, single),
                     contacts(cases[n], facts.hand_ohm, single), tips(cases[n], facts.altitude_m, single)};
    }
  });
  std::vector<UseExposure> all;
  std::vector<VerdictGroup> groups;                                  // of each of all
  std::vector<std::vector<std::vector<ExposureRow>>> of_conditions;  // likewise
  for (const PoweredUse& use : uses) {
    require(use.antenna < cases.size(), "a use needs one of the antennas");
    require(std::isfinite(use.power_w) && use.power_w >= 0.0, "the power of a use must be >= 0");
    if (use.power_w == 0.0) continue;
    auto mine = std::find_if(all.begin(), all.end(), [&](const UseExposure& u) {
      return u.band == use.band && u.arrangement == use.arrangement;
    });
    if (mine == all.end()) {
      mine = all.insert(all.end(), {use.band, use.arrangement, {}, {}, {}, {}, {}, use.duty.value_or(given.duty)});
      groups.emplace_back();
      of_conditions.emplace_back();
    }
    const auto index = static_cast<std::size_t>(mine - all.begin());
    options.duty = mine->duty;
    ExposureCase one = cases[use.antenna];
    one.power_w = use.power_w;
    const CaseAtOneWatt& known = one_watt[use.antenna];
    mine->no_level = without_level(options.levels, one.solution.frequency_hz);
    std::vector<ExposureRow> rows = exposure_rows(one, at_power(known.fields, 1.0, use.power_w), options);
    for (const ExposureRow& row : rows) {
      keep_worst(mine->rows, row, [](const ExposureRow& a, const ExposureRow& b) {
        return a.field.where == b.field.where && a.field.whole_body == b.field.whole_body &&
               a.level.standard == b.level.standard && a.level.group == b.level.group && a.level.scope == b.level.scope;
      });
    }
    UseCondition in{at_power(known.body, use.power_w),
                    with_coil_places(at_power(known.contacts, use.power_w), use.coil_places), use.coil_v_peak,
                    at_power(known.tips, 1.0, use.power_w), 0.0};
    in.gap_jumped_m = hf_gap_jumped_m(std::max(highest_v_peak(in.contacts), use.coil_v_peak), pressure_pa);
    std::vector<BodyRow> in_body = body_rows(in.body, options);
    for (BodyRow& row : contact_rows(in.contacts, options)) in_body.push_back(std::move(row));
    for (const BodyRow& row : in_body) {
      keep_worst(mine->body_rows, row, [](const BodyRow& a, const BodyRow& b) {
        return a.where == b.where && a.standard == b.standard && a.group == b.group && a.quantity == b.quantity;
      });
    }
    mine->conditions.push_back(std::move(in));
    groups[index].cases.push_back(use.antenna);
    groups[index].power_w.push_back(use.power_w);
    of_conditions[index].push_back(std::move(rows));
  }
  for (std::size_t n = 0; n < all.size(); ++n) {
    groups[n].duty = all[n].duty;
    groups[n].verdicts = exposure_verdicts(std::span<const std::vector<ExposureRow>>(of_conditions[n]), all[n].duty);
  }
  groups = with_moved_base(cases, std::move(groups), options);
  for (std::size_t n = 0; n < all.size(); ++n) all[n].verdicts = std::move(groups[n].verdicts);
  return all;
}

}  // namespace stile::safety
