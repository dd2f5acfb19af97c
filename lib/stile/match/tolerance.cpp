#include <stile/match/tolerance.hpp>

#include <algorithm>
#include <cmath>
#include <optional>
#include <random>
#include <vector>

#include <stile/base/errors.hpp>

namespace stile::match {
namespace {

/// Elements that are coils or capacitors, by index.
std::vector<std::size_t> reactive(const network::Ladder& ladder) {
  std::vector<std::size_t> found;
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    const network::Component& part = ladder.elements[n].part;
    if (std::holds_alternative<network::Inductor>(part) || std::holds_alternative<network::Capacitor>(part))
      found.push_back(n);
  }
  return found;
}

}  // namespace

Snapped snap_to_series(const network::Ladder& ladder, const network::Source& source, double frequency_hz,
                       cdouble z_load_ohm, std::optional<ESeries> inductors, std::optional<ESeries> capacitors) {
  std::vector<std::size_t> parts = reactive(ladder);
  std::erase_if(parts, [&](std::size_t n) {
    return !(std::holds_alternative<network::Inductor>(ladder.elements[n].part) ? inductors : capacitors);
  });
  require(parts.size() <= 16, "preferred values are searched for at most 16 coils and capacitors");
  std::optional<Snapped> best;
  for (std::size_t choice = 0; choice < (std::size_t{1} << parts.size()); ++choice) {
    Snapped trial{ladder, {}};
    for (std::size_t n = 0; n < parts.size(); ++n) {
      const bool above = (choice >> n & 1U) != 0;
      network::Component& part = trial.ladder.elements[parts[n]].part;
      if (auto* coil = std::get_if<network::Inductor>(&part)) {
        const Neighbours next = e_series_neighbours(*inductors, coil->inductance_h);
        coil->inductance_h = above ? next.above : next.below;
      } else {
        auto& capacitor = std::get<network::Capacitor>(part);
        const Neighbours next = e_series_neighbours(*capacitors, capacitor.capacitance_f);
        capacitor.capacitance_f = above ? next.above : next.below;
      }
    }
    trial.evaluation = network::evaluate(trial.ladder, source, frequency_hz, z_load_ohm);
    const auto rank = [](const Snapped& s) { return std::pair{s.evaluation.swr, s.evaluation.loss.dissipation_db}; };
    if (!best || rank(trial) < rank(*best)) best = std::move(trial);
  }
  return *best;
}

Spread tolerance_spread(const network::Ladder& ladder, const network::Source& source, double frequency_hz,
                        cdouble z_load_ohm, const Tolerances& t) {
  require(t.inductor >= 0.0 && t.inductor < 1.0 && t.capacitor >= 0.0 && t.capacitor < 1.0,
          "a tolerance must be 0 or more and under 1");
  require(t.swr_limit > 1.0, "an SWR limit must be > 1");
  require(t.samples >= 1 && t.samples <= 10'000'000, "the number of draws must be 1 .. 10000000");
  const std::vector<std::size_t> parts = reactive(ladder);
  Spread spread;
  // Evaluates with part n off by at(n) times its tolerance, and keeps the worst.
  const auto swr_of = [&](const auto& at) {
    network::Ladder off = ladder;
    for (std::size_t n = 0; n < parts.size(); ++n) {
      network::Component& part = off.elements[parts[n]].part;
      part = network::scaled(
          part, 1.0 + at(n) * (std::holds_alternative<network::Inductor>(part) ? t.inductor : t.capacitor));
    }
    const network::Evaluation e = network::evaluate(off, source, frequency_hz, z_load_ohm);
    spread.worst_swr = std::max(spread.worst_swr, e.swr);
    spread.worst_dissipation_db = std::max(spread.worst_dissipation_db, e.loss.dissipation_db);
    return e.swr;
  };
  if (parts.size() <= 12) {
    for (std::size_t corner = 0; corner < (std::size_t{1} << parts.size()); ++corner) {
      swr_of([&](std::size_t n) { return (corner >> n & 1U) != 0 ? 1.0 : -1.0; });
    }
  }
  std::mt19937_64 random(t.seed);
  std::vector<double> drawn, swr;
  for (int k = 0; k < t.samples; ++k) {
    drawn.clear();
    // The standard's distributions differ between libraries; 53 bits of the generator do not.
    for (std::size_t n = 0; n < parts.size(); ++n)
      drawn.push_back(std::ldexp(static_cast<double>(random() >> 11), -52) - 1.0);
    swr.push_back(swr_of([&](std::size_t n) { return drawn[n]; }));
  }
  std::sort(swr.begin(), swr.end());
  const auto share = [&](double p) {
    return swr[static_cast<std::size_t>(std::ceil(p * static_cast<double>(swr.size()))) - 1];
  };
  spread.median_swr = share(0.5);
  spread.swr_95 = share(0.95);
  spread.yield = static_cast<double>(std::upper_bound(swr.begin(), swr.end(), t.swr_limit) - swr.begin()) /
                 static_cast<double>(swr.size());
  return spread;
}

}  // namespace stile::match
