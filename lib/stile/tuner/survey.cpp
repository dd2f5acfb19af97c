#include <stile/tuner/survey.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/tuner/detail/arms.hpp>
#include <stile/tuner/detail/greedy_walk.hpp>

namespace stile::tuner {
namespace {

bool stated(const network::Rating& r) {
  return std::isfinite(r.voltage_v_peak) || std::isfinite(r.current_a_rms) || std::isfinite(r.dissipation_w);
}

void step(const SurveyProgress& progress, const std::string& line) {
  if (progress) progress(line);
}

LoadAnswer answer_load(const TunerTree& tree, const RangeQuestion& q, const NamedLoad& named, const BandPoints& band) {
  LoadAnswer a;
  a.load = named.name;
  a.band = band.name;
  a.frequency_hz = band.middle_hz;
  a.z_ohm = load::load_impedance(named.load, band.middle_hz);
  const TunerChoice choice = choose_state(tree, a.z_ohm, q.swr_limit);
  const auto answer = [&](const TunerSetting& setting) {
    return answer_of(q.tuner, tree_table(tree), q.source, setting, a.z_ohm);
  };
  a.most_delivered = answer(choice.most_delivered);
  a.least_swr = answer(choice.least_swr);
  a.least_loss = answer(choice.least_loss);
  // Without ratings all are equal, and ties go to the lesser loss.
  a.least_stress = has_ratings(q.tuner)
                       ? answer(choose_least_stress(tree, a.z_ohm, q.swr_limit, q.source.power_w).setting)
                       : a.least_loss;
  return a;
}

}  // namespace

bool has_ratings(const Tuner& tuner) {
  const auto any = [](const std::vector<network::Rating>& ratings) {
    return std::any_of(ratings.begin(), ratings.end(), stated);
  };
  return stated(tuner.inductor_rating) || stated(tuner.capacitor_rating) || any(tuner.inductors.ratings) ||
         any(tuner.capacitors.ratings) || any(tuner.load_capacitors.ratings) || any(tuner.load_inductors.ratings);
}

StateAnswer answer_of(const Tuner& tuner, const TunerTable& table, const network::Source& source,
                      const TunerSetting& setting, cdouble z_ohm) {
  StateAnswer a{setting, network::infinite, 0.0, {}};
  if (setting.status != TunerStatus::found) return a;
  a.transducer_db = transducer_db(setting.swr, setting.dissipation_db);
  a.stress = worst_stress(tuner, table, setting.state, source, z_ohm);
  if (z_ohm.real() > 0.0) {  // the load's current is sqrt(delivered / R)
    const double delivered_w = source.power_w * std::pow(10.0, -a.transducer_db / 10.0);
    a.load_voltage_v_peak = std::numbers::sqrt2 * std::abs(z_ohm) * std::sqrt(delivered_w / z_ohm.real());
  }
  return a;
}

RangeSurvey survey_range(const RangeQuestion& q, const SurveyProgress& progress) {
  constexpr std::array<double, 4> load_swr{2.0, 3.0, 5.0, 10.0};
  constexpr std::array<double, 3> limits{1.5, 2.0, 3.0};
  RangeSurvey survey;
  for (const BandPoints& band : q.bands) {
    step(progress, band.name + ", states");
    const TunerTable table = tabulate(q.tuner, band.middle_hz);
    const TunerTree tree = build_tree(q.tuner, table, q.source.z_ohm);
    for (const NamedLoad& named : q.loads) {
      step(progress, band.name + ", " + named.name);
      survey.loads.push_back(answer_load(tree, q, named, band));
    }
    step(progress, band.name + ", coverage");
    survey.coverage.push_back(
        {band.name, band.middle_hz, coverage(q.tuner, table, q.source.z_ohm, load_swr, limits, q.source.z_ohm.real())});
    if (band.frequency_hz.size() < 2) continue;
    for (const NamedLoad& named : q.loads) {
      step(progress, band.name + ", " + named.name + ", sweep");
      survey.sweeps.push_back(
          {named.name, band.name,
           band_range(
               q.tuner, q.source, band.frequency_hz, [&](double f) { return load::load_impedance(named.load, f); },
               q.swr_limit, Goal::least_swr)});
    }
  }
  return survey;
}

std::vector<RangeMap> survey_maps(const RangeQuestion& q, const MapGrid& grid, Goal goal,
                                  const SurveyProgress& progress) {
  std::vector<RangeMap> maps;
  for (const BandPoints& band : q.bands) {
    step(progress, band.name + ", map");
    const TunerTree tree = build_tree(q.tuner, tabulate(q.tuner, band.middle_hz), q.source.z_ohm);
    maps.push_back(map_range(tree, grid, q.swr_limit, q.source.power_w, goal));
  }
  return maps;
}

std::vector<GreedyAnswer> survey_greedy(const RangeQuestion& q, const SurveyProgress& progress) {
  std::vector<GreedyAnswer> all;
  for (const BandPoints& band : q.bands) {
    const TunerTable table = tabulate(q.tuner, band.middle_hz);
    for (const NamedLoad& named : q.loads) {
      step(progress, band.name + ", " + named.name + ", walk");
      const cdouble z = load::load_impedance(named.load, band.middle_hz);
      all.push_back({named.name, band.middle_hz, z, greedy_search(q.tuner, table, q.source.z_ohm, z, q.swr_limit),
                     answer_of(q.tuner, table, q.source,
                               choose_state(q.tuner, table, q.source.z_ohm, z, q.swr_limit).least_swr, z),
                     local_minima(q.tuner, table, q.source.z_ohm, z)});
    }
  }
  return all;
}

std::vector<GreedyReach> map_greedy(const Tuner& tuner, double frequency_hz, cdouble z_source, double swr_limit,
                                    const MapGrid& grid, const SurveyProgress& progress) {
  detail::check_swr_limit(swr_limit);
  const TunerTable table = tabulate(tuner, frequency_hz);
  const TunerTree tree = build_tree(tuner, table, z_source);
  const detail::GreedyWalk walk(tuner, table, z_source);
  std::vector<GreedyReach> reach;
  for (std::size_t row = 0; row < grid.rows; ++row) {
    step(progress, fmt::format("walks, row {} of {}", row + 1, grid.rows));
    std::vector<cdouble> loads;
    for (std::size_t column = 0; column < grid.columns; ++column) {
      if (const auto z = cell_load(grid, column, row)) loads.push_back(*z);
    }
    const std::vector<StateScore> best = choose_states(tree, loads, swr_limit, Goal::least_swr);
    std::size_t n = 0;
    for (std::size_t column = 0; column < grid.columns; ++column) {
      if (!cell_load(grid, column, row)) {
        reach.push_back(GreedyReach::no_load);
        continue;
      }
      const bool within = best[n].status == TunerStatus::found && best[n].swr <= swr_limit;
      reach.push_back(!within                                       ? GreedyReach::out_of_reach
                      : walk.from_bypass(loads[n]).swr <= swr_limit ? GreedyReach::reached
                                                                    : GreedyReach::missed);
      ++n;
    }
  }
  return reach;
}

LoadVoltage highest_load_voltage(std::span<const LoadAnswer> loads) {
  LoadVoltage highest;
  for (const LoadAnswer& a : loads) {
    for (const StateAnswer* state : {&a.most_delivered, &a.least_swr, &a.least_loss, &a.least_stress}) {
      if (state->load_voltage_v_peak > highest.v_peak) highest = {state->load_voltage_v_peak, a.load, a.band};
    }
  }
  return highest;
}

std::vector<SizingLoad> sizing_loads(const RangeQuestion& q) {
  std::vector<SizingLoad> loads;
  for (const BandPoints& band : q.bands) {
    for (const NamedLoad& named : q.loads)
      loads.push_back({band.middle_hz, load::load_impedance(named.load, band.middle_hz)});
  }
  return loads;
}

}  // namespace stile::tuner
