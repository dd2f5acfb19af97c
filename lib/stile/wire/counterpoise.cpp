#include <stile/wire/counterpoise.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/sweep.hpp>

namespace stile::wire {

namespace {

void check_task(const CounterpoiseTask& task) {
  require(!task.frequencies_hz.empty(), "a counterpoise task needs at least one frequency");
  require(!task.grounds.empty(), "a counterpoise task needs at least one ground");
  require(task.matching_q > 0.0, "matching_q must be > 0");
}

double worst_efficiency(const CounterpoiseTask& task, std::span<const double> lengths_m) {
  const Antenna antenna = with_counterpoises(task.whip, lengths_m, task.layout);
  double worst = std::numeric_limits<double>::infinity();
  for (const Ground& ground : task.grounds) {
    for (const AntennaSolution& s : sweep_antenna(antenna, ground, task.frequencies_hz, task.options))
      worst = std::min(worst, tuned_efficiency(s, task.matching_q));
  }
  return worst;
}

}  // namespace

Antenna with_counterpoises(const WhipSet& w, std::span<const double> lengths_m, const CounterpoiseLayout& layout) {
  require(!lengths_m.empty() && lengths_m.size() <= 5, "1 to 5 counterpoise wires");
  require(layout.spread_rad >= 0.0 && layout.spread_rad < two_pi, "spread_rad must be 0..2 pi");
  require(layout.spacing_m > 0.0, "spacing_m must be > 0");
  Antenna antenna;
  antenna.wires.push_back({"whip",
                           {{0.0, 0.0, w.base_height_m}, {0.0, 0.0, w.base_height_m + w.whip_length_m}},
                           w.whip_radius_m,
                           w.whip_conductivity_s_m,
                           1.0,
                           {}});
  antenna.coils = w.coils;
  antenna.feed = {0, w.gap_m, w.base_capacitance_f, w.base_leakage_ohm};
  TrailingWire one = w.wires.empty() ? TrailingWire{} : w.wires.front();
  one.drawn.clear();
  const auto count = static_cast<double>(lengths_m.size());
  std::vector<TrailingWire> wires;
  for (std::size_t i = 0; i < lengths_m.size(); ++i) {
    const double place = static_cast<double>(i) - 0.5 * (count - 1.0);  // -..+ around the middle
    one.name = "counterpoise " + std::to_string(i + 1);
    one.length_m = lengths_m[i];
    one.direction_rad = lengths_m.size() > 1 ? place * layout.spread_rad / (count - 1.0) : 0.0;
    wires.push_back(one);
  }
  for (Wire& wire : trailing_wires(wires, {0.0, 0.0, w.base_height_m}, layout.spacing_m))
    antenna.wires.push_back(std::move(wire));
  return antenna;
}

double tuned_efficiency(const AntennaSolution& solution, double matching_q) {
  require(matching_q > 0.0, "matching_q must be > 0");
  const double r = solution.feed_ohm.real();
  return solution.share.radiated * r / (r + std::abs(solution.feed_ohm.imag()) / matching_q);
}

double tuning_loss_db(const AntennaSolution& solution, double matching_q) {
  return -10.0 * std::log10(tuned_efficiency(solution, matching_q) / solution.share.radiated);
}

std::vector<CounterpoiseBand> counterpoise_shares(const CounterpoiseTask& task, std::span<const double> lengths_m) {
  check_task(task);
  require(lengths_m.size() >= 2, "what a wire adds needs at least two of them");
  std::vector<CounterpoiseBand> bands;
  const SolveOptions shared = with_tables(task.options);
  for (const Ground& ground : task.grounds) {
    const std::size_t first = bands.size();
    const Antenna whole = with_counterpoises(task.whip, lengths_m, task.layout);
    for (const AntennaSolution& s : sweep_antenna(whole, ground, task.frequencies_hz, shared))
      bands.push_back({s.frequency_hz, ground, s.feed_ohm, tuned_efficiency(s, task.matching_q), {}});
    for (std::size_t w = 0; w < lengths_m.size(); ++w) {
      Antenna without = whole;  // the others stay where they are
      without.wires.erase(without.wires.begin() + 1 + static_cast<std::ptrdiff_t>(w));
      const std::vector<AntennaSolution> swept = sweep_antenna(without, ground, task.frequencies_hz, shared);
      for (std::size_t f = 0; f < swept.size(); ++f) {
        CounterpoiseBand& band = bands[first + f];
        band.gain_db.push_back(10.0 * std::log10(band.tuned_efficiency / tuned_efficiency(swept[f], task.matching_q)));
      }
    }
  }
  return bands;
}

CounterpoiseChoice best_counterpoises(const CounterpoiseTask& task, int wires, std::span<const double> candidates_m,
                                      int max_passes) {
  check_task(task);
  require(wires >= 1 && wires <= 5, "1 to 5 counterpoise wires");
  require(!candidates_m.empty(), "a search needs candidate lengths");
  require(max_passes >= 1, "max_passes must be >= 1");
  CounterpoiseTask shared = task;
  shared.options = with_tables(task.options);
  CounterpoiseChoice best;
  const auto try_lengths = [&](std::vector<double> lengths) {
    std::sort(lengths.begin(), lengths.end(), std::greater<>());
    ++best.evaluations;
    return std::pair{worst_efficiency(shared, lengths), lengths};
  };
  for (int w = 0; w < wires; ++w) {  // one more wire at a time
    const std::vector<double> before = best.lengths_m;
    best.worst_tuned_efficiency = -1.0;
    for (const double c : candidates_m) {
      std::vector<double> lengths = before;
      lengths.push_back(c);
      const auto [value, sorted] = try_lengths(lengths);
      if (value > best.worst_tuned_efficiency) {
        best.worst_tuned_efficiency = value;
        best.lengths_m = sorted;
      }
    }
  }
  best.status = SearchStatus::pass_limit;
  for (int pass = 0; wires > 1 && pass < max_passes; ++pass) {
    bool changed = false;
    for (std::size_t w = 0; w < best.lengths_m.size(); ++w) {
      const std::vector<double> before = best.lengths_m;
      for (const double c : candidates_m) {
        if (c == before[w]) continue;
        std::vector<double> lengths = before;
        lengths[w] = c;
        const auto [value, sorted] = try_lengths(lengths);
        if (value <= best.worst_tuned_efficiency * (1.0 + 1e-9)) continue;
        best.worst_tuned_efficiency = value;
        best.lengths_m = sorted;
        changed = true;
      }
    }
    if (!changed) {
      best.status = SearchStatus::settled;
      break;
    }
  }
  if (wires == 1) best.status = SearchStatus::settled;
  return best;
}

Root dragged_length_factor(const WhipSet& w, const Ground& ground, double height_m, double frequency_hz,
                           const SolveOptions& options) {
  require(ground.kind == GroundKind::lossy, "a dragged wire needs a lossy ground");
  const auto whip_at = [&](double z) {
    Antenna a;
    a.wires.push_back(
        {"whip", {{0.0, 0.0, z}, {0.0, 0.0, z + w.whip_length_m}}, w.whip_radius_m, w.whip_conductivity_s_m, 1.0, {}});
    a.coils = w.coils;
    return a;
  };
  Antenna alone = whip_at(0.0);
  alone.feed = {0, 0.5 * w.gap_m, 0.0};
  const double wanted = solve_antenna(alone, perfect_ground(), frequency_hz, options).antenna_ohm.imag();
  const double quarter_m = 0.25 * speed_of_light_m_s / frequency_hz;
  const SolveOptions shared = with_tables(options);
  return find_root(
      [&](double share) {
        Antenna a = whip_at(height_m);
        const TrailingWire like = w.wires.empty() ? TrailingWire{} : w.wires.front();
        a.wires.push_back({"wire",
                           {{0.0, 0.0, height_m}, {share * quarter_m, 0.0, height_m}},
                           like.radius_m,
                           like.conductivity_s_m,
                           1.0,
                           like.insulation});
        a.feed = {0, w.gap_m, 0.0};
        return solve_antenna(a, ground, frequency_hz, shared).antenna_ohm.imag() - wanted;
      },
      0.5, 1.2, {0.01, 60});
}

}  // namespace stile::wire
