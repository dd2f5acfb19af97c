#include <stile/plan/far_end.hpp>

#include <algorithm>
#include <cmath>
#include <mutex>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/conductor/metal.hpp>
#include <stile/plan/compared.hpp>
#include <stile/wire/far_field.hpp>

namespace stile::plan {
namespace {

constexpr double s9_dbm = -73.0;

void check(double loss_db, const ContactMargin& contacts) {
  if (!(loss_db >= 0.0)) throw DomainError(fmt::format("a loss must be >= 0 dB, not {:.4g}", loss_db));
  if (!std::isfinite(contacts.margin_db))
    throw DomainError(fmt::format("the margin of contacts must be finite, not {:.4g} dB", contacts.margin_db));
  if (!(std::isfinite(contacts.sigma_db) && contacts.sigma_db > 0.0))
    throw DomainError(fmt::format("the spread of contacts must be finite and > 0 dB, not {:.4g}", contacts.sigma_db));
}

// Phi(b) - Phi(a), a <= b: on the side where both tails are small, so that nothing cancels.
double normal_between(double a, double b) {
  const double root2 = std::sqrt(2.0);
  if (a > 0.0) return 0.5 * (std::erfc(a / root2) - std::erfc(b / root2));
  return 0.5 * (std::erfc(-b / root2) - std::erfc(-a / root2));
}

double normal(double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); }

}  // namespace

double s_reading(double level_dbm) {
  if (!std::isfinite(level_dbm)) throw DomainError(fmt::format("a level must be finite, not {} dBm", level_dbm));
  return 9.0 + (level_dbm - s9_dbm) / db_per_s_unit;
}

double contacts_failed(double loss_db, const ContactMargin& contacts) {
  check(loss_db, contacts);
  return normal((loss_db - contacts.margin_db) / contacts.sigma_db);
}

double contacts_lost(double loss_db, const ContactMargin& contacts) {
  check(loss_db, contacts);
  const double margin = contacts.margin_db / contacts.sigma_db;
  const double made = normal(margin);
  require(made > 0.0, "with such a margin no contact is made at all");
  return normal_between(-margin, loss_db / contacts.sigma_db - margin) / made;
}

QuarterWave quarter_wave(const wire::Ground& ground, double foot_height_m, double frequency_hz,
                         const std::optional<station::Path>& path, const wire::SolveOptions& options) {
  constexpr double least_height_m = 0.1, radius_m = 1e-3, gap_m = 0.02;
  const double length_m = 0.25 * speed_of_light_m_s / frequency_hz, foot_m = std::max(least_height_m, foot_height_m);
  const double conductivity_s_m = 1.0 / conductor::metal_by_name("copper").resistivity_20c_ohm_m;
  const auto wire_to = [&](const std::string& name, double x, double y, double z) {
    wire::Wire w;
    w.name = name;
    w.points = {{0.0, 0.0, foot_m}, {x * length_m, y * length_m, foot_m + z * length_m}};
    w.radius_m = radius_m;
    w.conductivity_s_m = conductivity_s_m;
    return w;
  };
  wire::Antenna antenna;
  antenna.wires = {wire_to("vertical", 0.0, 0.0, 1.0), wire_to("radial 1", 1.0, 0.0, 0.0),
                   wire_to("radial 2", 0.0, 1.0, 0.0), wire_to("radial 3", -1.0, 0.0, 0.0),
                   wire_to("radial 4", 0.0, -1.0, 0.0)};
  antenna.feed.gap_m = gap_m;
  const wire::AntennaSolution solution = wire::solve_antenna(antenna, ground, frequency_hz, options);
  QuarterWave result{solution.share.radiated, {}};
  if (path)
    result.path_gain =
        wire::mean_gain(solution, path->elevation_deg.low * pi / 180.0, path->elevation_deg.high * pi / 180.0);
  return result;
}

std::vector<FarEnd> far_ends(const station::Station& solved, const Plan& plan,
                             const std::function<void(const std::string&)>& progress, unsigned threads) {
  require(plan.bands.size() == solved.bands.size(), "the plan is of another station");
  std::vector<FarEnd> all;
  struct Reference {  // a quarter wave that some arrangement is compared with
    std::size_t band = 0;
    wire::Ground ground;
    double foot_m = 0.0, lost_db = 0.0;
    std::vector<std::size_t> of;  // of `all`
  };
  std::vector<Reference> references;
  for (std::size_t b = 0; b < plan.bands.size(); ++b) {
    const BandResult& band = plan.bands[b];
    require(band.arrangements.size() == solved.arrangements.size(), "the plan is of another station");
    for (std::size_t n = 0; n < band.arrangements.size(); ++n) {
      const ArrangementResult& a = band.arrangements[n];
      FarEnd end{b, n, a.against_best.db, a.against_best.range_db, {}, {}, {}};
      if (solved.contacts) {
        end.contacts_failed = contacts_failed(end.against_best_db, *solved.contacts);
        end.contacts_lost = contacts_lost(end.against_best_db, *solved.contacts);
      }
      const auto& wires = solved.antennas[solved.arrangements[n].antenna].loads[a.worst].solved_from;
      if (wires && antennas_comparable(band.counted)) {
        const double foot_m = wires->antenna.wires[wires->antenna.feed.wire].points.front().z_m;
        auto known = std::find_if(references.begin(), references.end(), [&](const Reference& r) {
          return r.band == b && r.ground == wires->ground && r.foot_m == foot_m;
        });
        if (known == references.end()) known = references.insert(known, {b, wires->ground, foot_m, 0.0, {}});
        known->of.push_back(all.size());
      }
      all.push_back(end);
    }
  }
  const wire::SolveOptions options = wire::with_tables({});
  std::mutex telling;
  in_blocks(references.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t r = first; r < last; ++r) {
      const BandResult& band = plan.bands[references[r].band];
      if (progress) {
        const std::lock_guard<std::mutex> lock(telling);
        progress(band.band.name + ": a full-size quarter wave over the same ground");
      }
      const bool by_path = band.counted == Counted::path;
      const QuarterWave full = quarter_wave(references[r].ground, references[r].foot_m, band.band.design_hz,
                                            by_path ? band.band.path : std::nullopt, options);
      references[r].lost_db = db_below(1.0, by_path ? *full.path_gain : full.radiated_share);
    }
  });
  for (const Reference& r : references) {
    for (const std::size_t n : r.of)
      all[n].against_quarter_wave_db = plan.bands[r.band].arrangements[all[n].arrangement].counted_db - r.lost_db;
  }
  return all;
}

}  // namespace stile::plan
