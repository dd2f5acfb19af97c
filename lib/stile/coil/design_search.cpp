#include <stile/coil/design.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

#include <stile/base/errors.hpp>

namespace stile::coil {

namespace {

void check(const DesignSpace& s) {
  require(!s.former_diameter_m.empty() && !s.wire_diameter_m.empty() && !s.wire_over_pitch.empty(),
          "a search needs at least one former, one wire and one ratio of wire to pitch");
  require(s.longest_m > 0.0 && s.heaviest_kg > 0.0, "the limits of length and mass must be > 0");
  for (const double x : s.wire_over_pitch)
    require(x > 0.0 && x <= 0.95, "wire over pitch must lie above 0, up to 0.95");
  for (const auto* list : {&s.former_diameter_m, &s.wire_diameter_m}) {
    for (const double x : *list) require(x > 0.0 && std::isfinite(x), "diameters must be > 0 and finite");
  }
}

}  // namespace

DesignSearch search_design(const DesignRequest& request, const DesignSpace& space) {
  check(space);
  require(request.winding.sections.size() == 1, "a coil with taps is designed on one section");
  DesignSearch search;
  search.status = DesignStatus::too_few_turns;
  for (const double former_m : space.former_diameter_m) {
    for (const double wire_m : space.wire_diameter_m) {
      for (const double ratio : space.wire_over_pitch) {
        DesignRequest trial = request;
        trial.winding.diameter_m = former_m + wire_m;
        trial.winding.wire.diameter_m = wire_m;
        Section& section = trial.winding.sections.front();
        section.pitch_m = wire_m / ratio;
        section.last_pitch_m = 0.0;
        trial.most_turns = std::min(request.most_turns, std::floor(space.longest_m / section.pitch_m));
        ++search.tried;
        if (former_m < wire_m || trial.most_turns < 1.0) {
          ++search.refused;
          continue;
        }
        CoilDesign design = design_coil(trial);
        if (design.status != DesignStatus::found || wire_mass_kg(design.winding) > space.heaviest_kg) {
          ++search.refused;
          continue;
        }
        if (search.status != DesignStatus::found || design.worst_loss_db < search.best.worst_loss_db) {
          search.status = DesignStatus::found;
          search.best = std::move(design);
        }
      }
    }
  }
  return search;
}

}  // namespace stile::coil
