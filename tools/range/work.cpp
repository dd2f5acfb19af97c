#include "range/work.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/core.h>

namespace stile::tools {
namespace {

bool stated(const Rating& r) {
  return std::isfinite(r.voltage_v_peak) || std::isfinite(r.current_a_rms) || std::isfinite(r.dissipation_w);
}

/// Voltage across the load of a state: what the tuner passes on, |I| = sqrt(P/R).
double load_voltage(const TunerSetting& setting, const Source& source, cdouble z_ohm) {
  if (z_ohm.real() <= 0.0 || !std::isfinite(setting.swr)) return 0.0;
  const double reflected = std::pow((setting.swr - 1.0) / (setting.swr + 1.0), 2.0);
  const double delivered_w = source.power_w * (1.0 - reflected) * std::pow(10.0, -setting.dissipation_db / 10.0);
  return std::numbers::sqrt2 * std::abs(z_ohm) * std::sqrt(delivered_w / z_ohm.real());
}

StateAnswer answer(const TunerTree& tree, const Source& source, const TunerSetting& setting, cdouble z_ohm) {
  StateAnswer a{setting, {}};
  if (setting.status == TunerStatus::found)
    a.stress = worst_stress(tree_tuner(tree), tree_table(tree), setting.state, source, z_ohm);
  return a;
}

LoadAnswer answer_load(const TunerTree& tree, const RangeCase& c, const NamedLoad& named, const BandPoints& band) {
  LoadAnswer a{named.name, band.name, band.middle_hz, load_impedance(named.load, band.middle_hz), {}, {}, {}, 0.0};
  const TunerChoice choice = choose_state(tree, a.z_ohm, c.swr_limit);
  a.least_swr = answer(tree, c.source, choice.least_swr, a.z_ohm);
  a.least_loss = answer(tree, c.source, choice.least_loss, a.z_ohm);
  if (has_ratings(c.tuner)) {
    const StressChoice least = choose_least_stress(tree, a.z_ohm, c.swr_limit, c.source.power_w);
    a.least_stress = {least.setting, {}};
    if (least.setting.status == TunerStatus::found) a.least_stress.stress = least.stress;
  } else {
    a.least_stress = a.least_loss;  // all are equal, and ties go to the lesser loss
  }
  const bool within = choice.least_loss.status == TunerStatus::found;
  a.load_voltage_v_peak = load_voltage(within ? choice.least_loss : choice.least_swr, c.source, a.z_ohm);
  return a;
}

}  // namespace

bool has_ratings(const Tuner& tuner) {
  const auto any = [](const std::vector<Rating>& ratings) {
    return std::any_of(ratings.begin(), ratings.end(), stated);
  };
  return stated(tuner.inductor_rating) || stated(tuner.capacitor_rating) || any(tuner.inductors.ratings) ||
         any(tuner.capacitors.ratings) || any(tuner.load_capacitors.ratings) || any(tuner.load_inductors.ratings);
}

RangeReport report_range(const RangeCase& c, Progress& progress) {
  constexpr std::array<double, 4> load_swr{2.0, 3.0, 5.0, 10.0};
  constexpr std::array<double, 3> limits{1.5, 2.0, 3.0};
  RangeReport report;
  for (const BandPoints& band : c.bands) {
    progress.step(band.name + ", states");
    const TunerTree tree = build_tree(c.tuner, tabulate(c.tuner, band.middle_hz), c.source.z_ohm);
    for (const NamedLoad& named : c.loads) {
      progress.step(band.name + ", " + named.name);
      report.loads.push_back(answer_load(tree, c, named, band));
    }
    progress.step(band.name + ", coverage");
    report.coverage.push_back(
        {band.name, band.middle_hz,
         coverage(c.tuner, tree_table(tree), c.source.z_ohm, load_swr, limits, c.source.z_ohm.real())});
    if (band.frequency_hz.size() < 2) continue;
    for (const NamedLoad& named : c.loads) {
      progress.step(band.name + ", " + named.name + ", sweep");
      report.sweeps.push_back(
          {named.name, band.name,
           band_range(
               c.tuner, c.source, band.frequency_hz, [&](double f) { return load_impedance(named.load, f); },
               c.swr_limit, Goal::least_swr)});
    }
  }
  return report;
}

std::vector<RangeMap> map_bands(const RangeCase& c, const MapGrid& grid, MapKind kind, Progress& progress) {
  const bool by_swr = kind == MapKind::matchable || kind == MapKind::swr;
  std::vector<RangeMap> maps;
  for (const BandPoints& band : c.bands) {
    progress.step(band.name + ", map");
    const TunerTree tree = build_tree(c.tuner, tabulate(c.tuner, band.middle_hz), c.source.z_ohm);
    maps.push_back(map_range(tree, grid, c.swr_limit, c.source.power_w, by_swr ? Goal::least_swr : Goal::least_loss));
  }
  return maps;
}

std::vector<GreedyAnswer> report_greedy(const RangeCase& c, Progress& progress) {
  std::vector<GreedyAnswer> all;
  for (const BandPoints& band : c.bands) {
    const TunerTable table = tabulate(c.tuner, band.middle_hz);
    for (const NamedLoad& named : c.loads) {
      progress.step(band.name + ", " + named.name + ", walk");
      const cdouble z = load_impedance(named.load, band.middle_hz);
      all.push_back({named.name, band.middle_hz, z, greedy_search(c.tuner, table, c.source.z_ohm, z, c.swr_limit),
                     choose_state(c.tuner, table, c.source.z_ohm, z, c.swr_limit).least_swr,
                     local_minima(c.tuner, table, c.source.z_ohm, z)});
    }
  }
  return all;
}

std::vector<GreedyReach> map_greedy(const RangeCase& c, const MapGrid& grid, double frequency_hz, Progress& progress) {
  const TunerTable table = tabulate(c.tuner, frequency_hz);
  std::vector<GreedyReach> reach;
  for (std::size_t row = 0; row < grid.rows; ++row) {
    progress.step(fmt::format("walks, row {} of {}", row + 1, grid.rows));
    for (std::size_t column = 0; column < grid.columns; ++column) {
      const auto z = cell_load(grid, column, row);
      if (!z) {
        reach.push_back(GreedyReach::no_load);
        continue;
      }
      const GreedyResult result = greedy_search(c.tuner, table, c.source.z_ohm, *z, c.swr_limit);
      reach.push_back(result.status == TunerStatus::found ? GreedyReach::reached
                      : result.false_minimum              ? GreedyReach::missed
                                                          : GreedyReach::out_of_reach);
    }
  }
  return reach;
}

}  // namespace stile::tools
