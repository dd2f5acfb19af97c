#include <stile/plan/reach_of_settings.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <mutex>
#include <string_view>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>

namespace stile::plan {
namespace {

/// Chords of an edge near the loads leave it by at most some tenths of a thousandth of their impedance.
constexpr double edge_tolerance = 3e-4;

/// Mean magnitude: against it the loads of a short whip do not crowd at the rim of the reflection plane.
double reference_of(const std::vector<cdouble>& loads_ohm) {
  double sum_ohm = 0.0;
  for (const cdouble z : loads_ohm) sum_ohm += std::abs(z);
  return sum_ohm / static_cast<double>(loads_ohm.size());
}

std::string centimetres(double length_m) { return fmt::format("{:.2g} cm", 100.0 * length_m); }

/// The least move that takes a load out of what its setting holds: all moves a step further, then the next step, until
/// one does. What lies beyond it is not solved.
void move_until_out(ConditionReach& c, const network::Ladder& setting, const station::Transmitter& transmitter,
                    double frequency_hz, MovedWires& wires) {
  std::array<std::size_t, all_moves.size()> solved{};
  for (std::size_t step = 1; step < MovedWires::amount_m.size() && !c.moved; ++step) {
    for (std::size_t m = 0; m < all_moves.size(); ++m) {
      if (wires.last(all_moves[m]) < step) continue;
      solved[m] = step;
      const auto share =
          tuner::way_until_out({&setting, 1}, transmitter.source, frequency_hz, transmitter.swr_limit,
                               wires.load_ohm(all_moves[m], step - 1), wires.load_ohm(all_moves[m], step));
      if (!share) continue;
      const double before_m = MovedWires::amount_m[step - 1];
      const double out_m = before_m + *share * (MovedWires::amount_m[step] - before_m);
      if (c.moved && out_m >= c.moved_m) continue;
      c.moved = all_moves[m], c.moved_m = out_m;
    }
  }
  for (std::size_t m = 0; m < all_moves.size(); ++m) {
    if (solved[m] > 0) c.tried.push_back({all_moves[m], MovedWires::amount_m[solved[m]]});
  }
}

/// "raised by 80 cm, lowered by 5 cm": how far each move was solved; a wire that lies cannot be lowered much.
std::string tried_words(const std::vector<MoveTried>& tried) {
  constexpr std::string_view wire = "the trailing wire ", of_wire = "the trailing wire's ";
  std::string text;
  for (const MoveTried& m : tried) {
    std::string words = moved_words(m.moved);
    if (words.starts_with(of_wire))
      words.replace(0, of_wire.size(), "its ");
    else
      words.erase(0, wire.size());
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", words, centimetres(m.up_to_m));
  }
  return text;
}

std::string words_of(const ConditionReach& c, const station::Station& station) {
  if (!c.reach.inside)
    return std::isfinite(c.reach.way_in_ohm)
               ? fmt::format("does not hold; the nearest load that would is {:.3g} ohm away", c.reach.way_in_ohm)
               : "does not hold, and no load would";
  if (!std::isfinite(c.reach.way_out_ohm)) return "every load holds";
  std::string text = fmt::format("out after {:.3g} ohm at the nearest", c.reach.way_out_ohm);
  if (c.moved)
    text += fmt::format("; {} {}", moved_words(*c.moved), centimetres(c.moved_m));
  else if (const std::string tried = tried_words(c.tried); !tried.empty())
    text += fmt::format("; the trailing wire {}: it stays inside", tried);
  if (c.towards)
    text += fmt::format("; {:.0f} % of the way to \"{}\" ({:.3g} ohm)", 100.0 * c.towards_share,
                        station.conditions[*c.towards].name, c.towards_ohm);
  return text;
}

}  // namespace

std::vector<SettingsReach> reach_of_settings(const station::Station& solved, const Plan& plan,
                                             const std::function<void(const std::string&)>& progress,
                                             unsigned threads) {
  require(plan.bands.size() == solved.bands.size(), "the plan is of another station");
  const station::Transmitter& transmitter = solved.transmitter;
  const std::size_t antennas = solved.antennas.size(), conditions = solved.conditions.size();
  const auto normal = [&](std::size_t c) { return solved.conditions[c].role == station::Role::normal; };

  std::vector<SettingsReach> all;
  for (std::size_t b = 0; b < plan.bands.size(); ++b) {
    const BandResult& band = plan.bands[b];
    require(band.arrangements.size() == solved.arrangements.size(), "the plan is of another station");
    for (std::size_t n = 0; n < band.arrangements.size(); ++n) {
      SettingsReach result{b, n, 0.0, {}, {}};
      for (std::size_t c = 0; c < conditions; ++c) {
        const ConditionResult& of = band.arrangements[n].conditions[c];
        if (normal(c) && of.possible) result.conditions.push_back({c, of.evaluation.z_load_ohm, {}});
      }
      if (!result.conditions.empty()) all.push_back(std::move(result));
    }
  }
  const auto setting_of = [&](const SettingsReach& r, const ConditionReach& c) -> const network::Ladder& {
    return plan.bands[r.band].arrangements[r.arrangement].conditions[c.condition].ladder;
  };

  in_blocks(all.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t j = first; j < last; ++j) {
      SettingsReach& r = all[j];
      const double frequency_hz = plan.bands[r.band].band.design_hz;
      std::vector<network::Ladder> settings;
      std::vector<cdouble> loads_ohm;
      for (const ConditionReach& c : r.conditions) {
        settings.push_back(setting_of(r, c));
        loads_ohm.push_back(c.load_ohm);
      }
      r.share_inside =
          tuner::share_within_reach(settings, transmitter.source, frequency_hz, transmitter.swr_limit, loads_ohm);
      r.edges = tuner::trace_reach(settings, transmitter.source, frequency_hz, transmitter.swr_limit,
                                   reference_of(loads_ohm), edge_tolerance);
      for (std::size_t k = 0; k < settings.size(); ++k) {
        ConditionReach& c = r.conditions[k];
        const std::span<const network::Ladder> own(&settings[k], 1);
        c.reach = tuner::reach(own, transmitter.source, frequency_hz, transmitter.swr_limit, c.load_ohm);
        for (std::size_t other = 0; c.reach.inside && other < settings.size(); ++other) {
          const auto share = tuner::way_until_out(own, transmitter.source, frequency_hz, transmitter.swr_limit,
                                                  c.load_ohm, loads_ohm[other]);
          if (!share) continue;
          const double ohm = *share * std::abs(loads_ohm[other] - c.load_ohm);
          if (c.towards && ohm >= c.towards_ohm) continue;
          c.towards = r.conditions[other].condition, c.towards_share = *share, c.towards_ohm = ohm;
        }
      }
    }
  });

  // An antenna on a band in a condition, moved for all arrangements that stand on it.
  std::vector<std::vector<std::pair<SettingsReach*, ConditionReach*>>> users(plan.bands.size() * antennas * conditions);
  for (SettingsReach& r : all) {
    const std::size_t antenna = solved.arrangements[r.arrangement].antenna;
    for (ConditionReach& c : r.conditions) {
      if (c.reach.inside && solved.antennas[antenna].loads[c.condition].solved_from)
        users[(r.band * antennas + antenna) * conditions + c.condition].push_back({&r, &c});
    }
  }
  const wire::SolveOptions options = wire::with_tables({});
  std::mutex telling;
  in_blocks(users.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t j = first; j < last; ++j) {
      if (users[j].empty()) continue;
      const station::Band& band = plan.bands[j / conditions / antennas].band;
      if (progress) {
        const std::lock_guard<std::mutex> lock(telling);
        progress(
            fmt::format("{}: how far the wire may move, \"{}\"", band.name, solved.conditions[j % conditions].name));
      }
      MovedWires wires(*solved.antennas[j / conditions % antennas].loads[j % conditions].solved_from, band.design_hz,
                       options);
      for (const auto& [r, c] : users[j]) move_until_out(*c, setting_of(*r, *c), transmitter, band.design_hz, wires);
    }
  });
  for (SettingsReach& r : all) {
    for (ConditionReach& c : r.conditions) c.words = words_of(c, solved);
  }
  return all;
}

}  // namespace stile::plan
