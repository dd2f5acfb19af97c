#include <stile/plan/reach_of_settings.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <mutex>
#include <string_view>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/wire/alike.hpp>

namespace stile::plan {
namespace {

constexpr std::array<double, 6> steps_m{0.02, 0.05, 0.1, 0.2, 0.4, 0.8};
constexpr std::array<Moved, 5> all_moves{Moved::raised, Moved::lowered, Moved::end_lifted, Moved::shortened,
                                         Moved::lengthened};

/// Chords of an edge near the loads leave it by at most some tenths of a thousandth of their impedance.
constexpr double edge_tolerance = 3e-4;

/// Mean magnitude: against it the loads of a short whip do not crowd at the rim of the reflection plane.
double reference_of(const std::vector<cdouble>& loads_ohm) {
  double sum_ohm = 0.0;
  for (const cdouble z : loads_ohm) sum_ohm += std::abs(z);
  return sum_ohm / static_cast<double>(loads_ohm.size());
}

double distance_m(wire::Vec3 a, wire::Vec3 b) { return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m); }

/// Wires that start at the feed, without those of set and person.
std::vector<std::size_t> trailing_of(const wire::Antenna& antenna) {
  const wire::Vec3 base = antenna.wires[antenna.feed.wire].points.front();
  std::vector<std::size_t> trailing;
  for (std::size_t w = 0; w < antenna.wires.size(); ++w) {
    const wire::Wire& wire = antenna.wires[w];
    if (w == antenna.feed.wire || wire.person || wire.name == "frame" || wire.name == "lead" || wire.name == "set")
      continue;
    if (distance_m(wire.points.front(), base) < 1e-6) trailing.push_back(w);
  }
  return trailing;
}

/// The antenna with its trailing wires moved; nothing where there is no room for it.
std::optional<wire::Antenna> moved_antenna(wire::Antenna antenna, const wire::Ground& ground, Moved moved,
                                           double amount_m) {
  constexpr double least_piece_m = 0.1;
  for (const std::size_t w : trailing_of(antenna)) {
    wire::Wire& wire = antenna.wires[w];
    wire::Vec3& end = wire.points.back();
    const wire::Vec3 before = wire.points[wire.points.size() - 2];
    const double piece_m = distance_m(before, end);
    switch (moved) {
    case Moved::raised:
    case Moved::lowered:
      for (std::size_t p = 1; p < wire.points.size(); ++p) {
        wire.points[p].z_m += moved == Moved::raised ? amount_m : -amount_m;
        if (wire.points[p].z_m < wire::least_height_m(wire)) return std::nullopt;
      }
      break;
    case Moved::end_lifted:
      end.z_m += amount_m;
      break;
    case Moved::shortened:
    case Moved::lengthened: {
      const double left_m = piece_m + (moved == Moved::shortened ? -amount_m : amount_m);
      if (left_m < least_piece_m) return std::nullopt;
      const double share = left_m / piece_m;
      end = {before.x_m + share * (end.x_m - before.x_m), before.y_m + share * (end.y_m - before.y_m),
             before.z_m + share * (end.z_m - before.z_m)};
      break;
    }
    }
  }
  try {
    wire::check_antenna(antenna, ground);
  } catch (const DomainError&) {
    return std::nullopt;  // it touches something
  }
  return antenna;
}

std::string centimetres(double length_m) { return fmt::format("{:.2g} cm", 100.0 * length_m); }

/// How far a setting lets a load go along the solved steps of one move; nothing when none of them leaves.
std::optional<double> moved_until_out(std::span<const network::Ladder> setting, const station::Transmitter& transmitter,
                                      double frequency_hz, const MovedLoads& moved) {
  for (std::size_t n = 1; n < moved.amount_m.size(); ++n) {
    const auto share = tuner::way_until_out(setting, transmitter.source, frequency_hz, transmitter.swr_limit,
                                            moved.load_ohm[n - 1], moved.load_ohm[n]);
    if (share) return moved.amount_m[n - 1] + *share * (moved.amount_m[n] - moved.amount_m[n - 1]);
  }
  return std::nullopt;
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

std::string moved_words(Moved moved) {
  switch (moved) {
  case Moved::raised:
    return "the trailing wire raised by";
  case Moved::lowered:
    return "the trailing wire lowered by";
  case Moved::end_lifted:
    return "the trailing wire's end lifted by";
  case Moved::shortened:
    return "the trailing wire shortened by";
  case Moved::lengthened:
    break;
  }
  return "the trailing wire lengthened by";
}

std::vector<MovedLoads> moved_loads(const station::StatedWires& wires, double frequency_hz,
                                    const wire::SolveOptions& options) {
  std::vector<MovedLoads> all;
  if (trailing_of(wires.antenna).empty()) return all;
  const wire::AlikeAntennas alike(wires.antenna, wires.ground, frequency_hz, options);
  const cdouble still_ohm = alike.feed_ohm(wires.antenna);
  for (const Moved moved : all_moves) {
    MovedLoads loads{moved, {0.0}, {still_ohm}};
    for (const double amount_m : steps_m) {
      const auto antenna = moved_antenna(wires.antenna, wires.ground, moved, amount_m);
      if (!antenna) break;
      loads.amount_m.push_back(amount_m);
      loads.load_ohm.push_back(alike.feed_ohm(*antenna));
    }
    all.push_back(std::move(loads));
  }
  return all;
}

std::vector<SettingsReach> reach_of_settings(const station::Station& solved, const Plan& plan,
                                             const std::function<void(const std::string&)>& progress,
                                             unsigned threads) {
  require(plan.bands.size() == solved.bands.size(), "the plan is of another station");
  const station::Transmitter& transmitter = solved.transmitter;
  const std::size_t antennas = solved.antennas.size(), conditions = solved.conditions.size();
  const auto normal = [&](std::size_t c) { return solved.conditions[c].role == station::Role::normal; };

  // Of each band, antenna and condition: what moving its wires does to the load, the same for all arrangements.
  std::vector<std::vector<MovedLoads>> moved(plan.bands.size() * antennas * conditions);
  const auto index = [&](std::size_t b, std::size_t a, std::size_t c) { return (b * antennas + a) * conditions + c; };
  const wire::SolveOptions options = wire::with_tables({});
  std::mutex telling;
  in_blocks(moved.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t j = first; j < last; ++j) {
      const std::size_t c = j % conditions, a = j / conditions % antennas, b = j / conditions / antennas;
      const auto& wires = solved.antennas[a].loads[c].solved_from;
      if (!wires || !normal(c)) continue;
      if (progress) {
        const std::lock_guard<std::mutex> lock(telling);
        progress(
            fmt::format("{}: how far the wire may move, \"{}\"", plan.bands[b].band.name, solved.conditions[c].name));
      }
      moved[j] = moved_loads(*wires, plan.bands[b].band.design_hz, options);
    }
  });

  std::vector<SettingsReach> all;
  for (std::size_t b = 0; b < plan.bands.size(); ++b) {
    const BandResult& band = plan.bands[b];
    require(band.arrangements.size() == solved.arrangements.size(), "the plan is of another station");
    const double frequency_hz = band.band.design_hz;
    for (std::size_t n = 0; n < band.arrangements.size(); ++n) {
      const ArrangementResult& a = band.arrangements[n];
      std::vector<network::Ladder> settings;
      std::vector<cdouble> loads_ohm;
      SettingsReach result{b, n, 0.0, {}, {}};
      for (std::size_t c = 0; c < conditions; ++c) {
        if (!normal(c) || !a.conditions[c].possible) continue;
        settings.push_back(a.conditions[c].ladder);
        loads_ohm.push_back(a.conditions[c].evaluation.z_load_ohm);
        result.conditions.push_back({c, loads_ohm.back(), {}});
      }
      if (settings.empty()) continue;
      result.share_inside =
          tuner::share_within_reach(settings, transmitter.source, frequency_hz, transmitter.swr_limit, loads_ohm);
      result.edges = tuner::trace_reach(settings, transmitter.source, frequency_hz, transmitter.swr_limit,
                                        reference_of(loads_ohm), edge_tolerance);
      for (std::size_t k = 0; k < result.conditions.size(); ++k) {
        ConditionReach& c = result.conditions[k];
        const std::span<const network::Ladder> own(&settings[k], 1);
        c.reach = tuner::reach(own, transmitter.source, frequency_hz, transmitter.swr_limit, c.load_ohm);
        const auto& moves = moved[index(b, solved.arrangements[n].antenna, c.condition)];
        for (std::size_t other = 0; c.reach.inside && other < settings.size(); ++other) {
          const auto share = tuner::way_until_out(own, transmitter.source, frequency_hz, transmitter.swr_limit,
                                                  c.load_ohm, loads_ohm[other]);
          if (!share) continue;
          const double ohm = *share * std::abs(loads_ohm[other] - c.load_ohm);
          if (c.towards && ohm >= c.towards_ohm) continue;
          c.towards = result.conditions[other].condition, c.towards_share = *share, c.towards_ohm = ohm;
        }
        for (const MovedLoads& m : moves) {
          if (!c.reach.inside) break;
          if (m.amount_m.size() > 1) c.tried.push_back({m.moved, m.amount_m.back()});
          const auto out_m = moved_until_out(own, transmitter, frequency_hz, m);
          if (!out_m || (c.moved && *out_m >= c.moved_m)) continue;
          c.moved = m.moved, c.moved_m = *out_m;
        }
        c.words = words_of(c, solved);
      }
      all.push_back(std::move(result));
    }
  }
  return all;
}

}  // namespace stile::plan
