#include <stile/design/walks.hpp>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <mutex>
#include <numeric>
#include <random>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/plan/plan.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/lying_ground.hpp>
#include <stile/wire/sweep.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::design {
namespace {

using station::StatedWires;
using wire::Vec3;
using namespace wire::detail;

constexpr double flips_above = 0.1;   // share of walks on which the second is better
constexpr double wide_band = 0.01;    // of the part in use: its middles are solved as well
constexpr double keep_clear_m = 0.1;  // of a bend from a wire's ends and its other bends

/// Numbers of one walk, or of one condition on it: the same with every standard library.
class Draws {
public:
  Draws(std::uint64_t seed, std::size_t walk, std::size_t condition) {
    std::seed_seq from{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32U),
                       static_cast<std::uint32_t>(walk), static_cast<std::uint32_t>(condition)};
    random_.seed(from);
  }
  double share() { return static_cast<double>(random_()) / 4294967296.0; }  // 0..1, 1 left out
  double even(double low, double high) { return low + (high - low) * share(); }
  double by_ratio(const Range& range) { return range.low * std::pow(range.high / range.low, share()); }

private:
  std::mt19937 random_;
};

void check(const WalkSpread& s) {
  const auto rising = [](const Range& r, const char* name) {
    if (!(r.low > 0.0 && r.low <= r.high && std::isfinite(r.high)))
      throw DomainError(fmt::format("{} is {:.4g} to {:.4g} and must be > 0 and rising", name, r.low, r.high));
  };
  rising(s.lying_height_m, "lying_height_m");
  rising(s.contact, "contact");
  rising(s.leakage_ohm, "leakage_ohm");
  rising(s.base_capacitance, "base_capacitance");
  rising(s.person_conductivity, "person_conductivity");
  const auto angle = [](double value, double most, const char* name) {
    if (!(value >= 0.0 && value <= most))
      throw DomainError(fmt::format("{} is {:.4g} and must be 0 to {:.4g}", name, value, most));
  };
  angle(s.lean_rad, 0.7, "lean_rad");
  angle(s.bearing_rad, 1.5, "bearing_rad");
  angle(s.bend_rad, 1.5, "bend_rad");
  require(!s.soil.empty() && std::all_of(s.soil.begin(), s.soil.end(), [](double f) { return f > 0.0 && f <= 100.0; }),
          "soil must have at least one factor, each above 0 and up to 100");
}

bool near(const Vec3& a, const Vec3& b) { return norm(a - b) < 1e-6; }

Vec3 turned_about(const Vec3& point, const Vec3& axis_at, double angle_rad) {
  const double c = std::cos(angle_rad), s = std::sin(angle_rad);
  const double x = point.x_m - axis_at.x_m, y = point.y_m - axis_at.y_m;
  return {axis_at.x_m + c * x - s * y, axis_at.y_m + s * x + c * y, point.z_m};
}

/// A wire that starts at the base, its pieces one after the other: lengths stay, heights and directions change.
struct Turned {
  std::vector<Vec3> points;
  double last_turn_rad = 0.0;  ///< of its end
};

/// @param bend_at_m  from the base; a bend is left out where the wire is shorter, or runs back beside itself
Turned turned(const wire::Wire& wire, const WorldDraw& draw, double bearing_rad, double bend_rad, double bend_at_m) {
  std::vector<Vec3> stated = wire.points;
  bool runs_back = false;
  for (std::size_t n = 2; n < stated.size(); ++n) {
    const Vec3 before = stated[n - 1] - stated[n - 2], after = stated[n] - stated[n - 1];
    runs_back = runs_back || before.x_m * after.x_m + before.y_m * after.y_m < 0.0;
  }
  double along = 0.0;
  std::size_t bend_from = stated.size();
  if (bend_rad != 0.0 && !runs_back && bend_at_m + keep_clear_m < wire::wire_length_m(wire)) {
    for (std::size_t n = 1; n < stated.size(); ++n) {
      const double piece = norm(stated[n] - stated[n - 1]);
      if (bend_at_m > along + keep_clear_m && bend_at_m < along + piece - keep_clear_m) {
        const Vec3 here = stated[n - 1] + ((bend_at_m - along) / piece) * (stated[n] - stated[n - 1]);
        stated.insert(stated.begin() + static_cast<std::ptrdiff_t>(n), here);
        bend_from = n;
        break;
      }
      along += piece;
    }
  }
  const double height_m = std::max(draw.lying_height_m, 1.01 * wire::least_height_m(wire));
  Turned result{{stated.front()}, bearing_rad};
  for (std::size_t n = 1; n < stated.size(); ++n) {
    const Vec3 piece = stated[n] - stated[n - 1];
    const double length = norm(piece), level = std::hypot(piece.x_m, piece.y_m);
    Vec3 next = stated[n];
    if (next.z_m <= 0.3) next.z_m = height_m;
    const Vec3& from = result.points.back();
    const double rise = next.z_m - from.z_m;
    if (n > bend_from) result.last_turn_rad = bearing_rad + bend_rad;
    const double run = std::sqrt(std::max(0.0, length * length - rise * rise));
    const double direction = std::atan2(piece.y_m, piece.x_m) + result.last_turn_rad;
    if (level > 0.0) {
      next = {from.x_m + run * std::cos(direction), from.y_m + run * std::sin(direction), next.z_m};
    } else {
      next.x_m = from.x_m, next.y_m = from.y_m;
    }
    result.points.push_back(next);
  }
  return result;
}

bool of_set(const wire::Wire& wire) {
  return wire.person || wire.name == "frame" || wire.name == "lead" || wire.name == "set";
}

/// Whip and trailing wires as the walk has them, angles scaled; nothing of ground or base.
void lay(wire::Antenna& antenna, const WorldDraw& draw, double scale) {
  const std::vector<wire::Wire> stated = antenna.wires;
  const Vec3 base = stated[antenna.feed.wire].points.front(), top = stated[antenna.feed.wire].points.back();
  for (std::size_t n = 0; n < stated.size(); ++n) {  // the whip, and a hat at its top
    if (n != antenna.feed.wire && !near(stated[n].points.front(), top)) continue;
    for (Vec3& p : antenna.wires[n].points) p = base + leaning(p - base, draw.lean_towards_rad, scale * draw.lean_rad);
  }
  const auto trails = [&](std::size_t n) {
    return n != antenna.feed.wire && !of_set(stated[n]) && near(stated[n].points.front(), base);
  };
  double longest = 0.0;
  for (std::size_t n = 0; n < stated.size(); ++n) {
    if (trails(n)) longest = std::max(longest, wire::wire_length_m(stated[n]));
  }
  for (std::size_t n = 0; n < stated.size(); ++n) {
    if (!trails(n)) continue;
    const Turned t = turned(stated[n], draw, scale * draw.bearing_rad, scale * draw.bend_rad, draw.bend_at * longest);
    antenna.wires[n].points = t.points;
    const Vec3 end = stated[n].points.back();
    for (std::size_t k = 0; k < stated.size(); ++k) {  // a hank at its end goes along
      if (k == n || trails(k) || of_set(stated[k]) || !near(stated[k].points.front(), end)) continue;
      for (std::size_t i = 0; i < stated[k].points.size(); ++i)
        antenna.wires[k].points[i] = turned_about(stated[k].points[i], end, t.last_turn_rad) + (t.points.back() - end);
    }
  }
}

/// The part of a band in use, as a band of its own: nothing else is judged, so nothing else is solved.
station::Band part_in_use(station::Band band) {
  band.low_hz = band.use_low_hz;
  band.high_hz = band.use_high_hz;
  return band;
}

std::vector<double> solved_frequencies(const station::Band& band) {
  std::vector<double> f{band.use_low_hz, band.design_hz, band.use_high_hz};
  if (band.use_high_hz > (1.0 + wide_band) * band.use_low_hz) {
    f.push_back(0.5 * (band.use_low_hz + band.design_hz));
    f.push_back(0.5 * (band.design_hz + band.use_high_hz));
  }
  std::sort(f.begin(), f.end());
  f.erase(std::unique(f.begin(), f.end()), f.end());
  return f;
}

/// The load of an antenna in a walk's world, with the bias of its ground.
load::Load walked_load(const station::Station& station, const std::string& name, const StatedWires& stated,
                       const WorldDraw& draw, const WalkSpread& spread, const wire::SolveOptions& options) {
  const StatedWires wires = in_world(stated, draw);
  std::vector<double> frequency_hz;
  double joined = 1.0;
  for (const station::Band& band : station.bands) {
    const std::vector<double> f = solved_frequencies(band);
    for (std::size_t n = 1; n < f.size(); ++n) joined = std::max(joined, f[n] / f[n - 1]);
    frequency_hz.insert(frequency_hz.end(), f.begin(), f.end());
  }
  std::sort(frequency_hz.begin(), frequency_hz.end());
  frequency_hz.erase(std::unique(frequency_hz.begin(), frequency_hz.end()), frequency_hz.end());
  std::vector<cdouble> z_ohm;
  std::vector<load::PowerShares> shares;
  std::vector<double> gains;
  bool paths = false;
  for (const wire::AntennaSolution& s : wire::sweep_antenna(wires.antenna, wires.ground, frequency_hz, options, 1)) {
    double factor = 1.0;
    if (spread.bias && wires.ground.kind == wire::GroundKind::lossy) {
      const double g = station.uncertainty.ground;
      const double high = wire::has_lying_corner(wires.antenna, wires.ground, s.frequency_hz)
                              ? wire::lying_ground_factor.high
                              : 1.0 + g;
      factor = std::pow(high * (1.0 + g), draw.bias) / (1.0 + g);
    }
    const cdouble z = wire::with_ground_factor(s, factor).feed_ohm;
    const double kept = s.feed_ohm.real() / z.real();
    const double ground = kept * factor * s.share.ground;
    z_ohm.push_back(z);
    shares.push_back({kept * s.share.radiated, kept * (s.share.metal + s.share.coil), ground, kept * s.share.person,
                      kept * s.share.lump});
    const auto band = std::find_if(station.bands.begin(), station.bands.end(), [&](const station::Band& b) {
      return b.use_low_hz <= s.frequency_hz && s.frequency_hz <= b.use_high_hz;
    });
    double gain = 0.0;
    if (band->path) {
      paths = true;
      gain = kept * wire::mean_gain(s, band->path->elevation_deg.low * pi / 180.0,
                                    band->path->elevation_deg.high * pi / 180.0);
    }
    gains.push_back(gain);
  }
  load::Load load{name, wires.origin, load::ConstantLoad{}, {}};
  load::SampledLoad samples =
      load::make_sampled_load(frequency_hz, std::move(z_ohm), std::move(shares), (1.0 + 1e-9) * joined + 1e-9);
  if (paths) samples.path_gain = std::move(gains);
  load.model = std::move(samples);
  return load;
}

/// What an arrangement did on one walk, by band.
struct Walked {
  struct OnBand {
    std::optional<double> radiated_db, path_db;
    double counted_db = 0.0, held_share = 0.0;
  };
  std::vector<std::vector<OnBand>> arrangements;
};

Walked::OnBand on_band(const station::Station& station, const plan::ArrangementResult& a) {
  Walked::OnBand figures{a.radiated_db, a.path_db, a.counted_db, 0.0};
  double time = 0.0;
  const auto shared = [](const station::Condition& c) { return c.share.has_value(); };
  const bool shares = std::any_of(station.conditions.begin(), station.conditions.end(), shared);
  for (std::size_t n = 0; n < station.conditions.size(); ++n) {
    if (station.conditions[n].role != station::Role::normal) continue;
    const double share = shares ? station.conditions[n].share.value_or(0.0) : 1.0;
    const plan::ConditionResult& c = a.conditions[n];
    time += share;
    if (c.possible && c.worst_swr <= station.transmitter.swr_limit && c.overloads.empty()) figures.held_share += share;
  }
  figures.held_share /= time;
  return figures;
}

std::size_t nine_of_ten(std::size_t count) {  // as many, counted from the good end
  return (9 * count + 9) / 10;
}

/// @param rising_is_worse  dB; otherwise falling is
WalkFigure figure(std::vector<double> values, bool rising_is_worse) {
  std::sort(values.begin(), values.end());
  if (!rising_is_worse) std::reverse(values.begin(), values.end());
  const std::size_t count = values.size();
  const double low = values[(count - 1) / 2], high = values[count / 2];
  return {low == high ? low : 0.5 * (low + high), values[nine_of_ten(count) - 1]};
}

std::vector<std::string> assumptions_of(const WalkSpread& s, const station::Station& station) {
  const double ground = station.uncertainty.ground;
  const auto degrees = [](double rad) { return rad * 180.0 / pi; };
  std::vector<std::string> all{
      fmt::format("wires that lie do so {:.3g} to {:.3g} mm high, drawn anew for each condition (assumed)",
                  1e3 * s.lying_height_m.low, 1e3 * s.lying_height_m.high),
      fmt::format(
          "the whip leans up to {:.0f} degrees any way; wires run up to {:.0f} degrees off their bearing and bend "
          "once by up to {:.0f} degrees (invented)",
          degrees(s.lean_rad), degrees(s.bearing_rad), degrees(s.bend_rad)),
      fmt::format("soil from a table of {}: {:.3g} to {:.3g} times the stated conductivity, permittivity with it "
                  "(invented)",
                  s.soil.size(), *std::min_element(s.soil.begin(), s.soil.end()),
                  *std::max_element(s.soil.begin(), s.soil.end())),
      s.bias
          ? fmt::format("ground resistance off by {:.2f} to {:.2f}, up to {:.3g} where short wires lie (measured once: "
                        "2 to 5), the same all along a walk",
                        1.0 / (1.0 + ground), 1.0 + ground, wire::lying_ground_factor.high)
          : "no bias of the ground resistance",
      fmt::format("a hand and its arm conduct {:.2f} to {:.2f} times as stated; a wet base leaks {:.3g} to {:.3g} Mohm "
                  "(assumed)",
                  s.contact.low, s.contact.high, 1e-6 * s.leakage_ohm.low, 1e-6 * s.leakage_ohm.high)};
  const auto any = [&](auto is) { return std::any_of(station.arrangements.begin(), station.arrangements.end(), is); };
  if (any([](const station::Arrangement& a) { return a.trim != station::Trim::once && a.settings.empty(); }))
    all.emplace_back(
        "\"trimmed on the walk\": every condition of every walk has its own trimming, and parts that a hand does "
        "not move are chosen for each walk: the best within the SWR limit, as set the worst; a hand is between them "
        "(assumed)");
  if (any([](const station::Arrangement& a) {
        return std::any_of(a.settings.begin(), a.settings.end(),
                           [](const station::StatedSetting& set) { return !set.condition.empty(); });
      }))
    all.emplace_back(
        "a match that is trimmed by hand keeps, as set, the setting that is stated for the condition, while "
        "automatic tuners set themselves anew");
  return all;
}

}  // namespace

WorldDraw draw_world(const WalkSpread& spread, std::uint64_t seed, std::size_t walk, std::size_t condition) {
  check(spread);
  WorldDraw d;
  Draws all(seed, walk, 0);
  const std::size_t soils = spread.soil.size();
  d.soil_factor = spread.soil[std::min(soils - 1, static_cast<std::size_t>(all.even(0.0, static_cast<double>(soils))))];
  d.bias = all.share();
  d.contact = all.by_ratio(spread.contact);
  d.leakage_ohm = all.by_ratio(spread.leakage_ohm);
  d.base_capacitance = all.by_ratio(spread.base_capacitance);
  d.person = all.by_ratio(spread.person_conductivity);
  Draws here(seed, walk, condition + 1);
  d.lying_height_m = here.by_ratio(spread.lying_height_m);
  d.lean_rad = spread.lean_rad * here.share();
  d.lean_towards_rad = here.even(0.0, 2.0 * pi);
  d.bearing_rad = here.even(-spread.bearing_rad, spread.bearing_rad);
  d.bend_rad = here.even(-spread.bend_rad, spread.bend_rad);
  d.bend_at = here.even(0.25, 0.9);
  return d;
}

StatedWires in_world(const StatedWires& stated, const WorldDraw& draw) {
  StatedWires there = stated;
  if (there.ground.kind == wire::GroundKind::lossy) {
    there.ground.conductivity_s_m *= draw.soil_factor;
    const double permittivity = 1.0 + (there.ground.relative_permittivity - 1.0) * std::sqrt(draw.soil_factor);
    there.ground.relative_permittivity = std::min(std::max(80.0, stated.ground.relative_permittivity), permittivity);
  }
  wire::Feed& feed = there.antenna.feed;
  feed.base_capacitance_f *= draw.base_capacitance;
  if (std::isfinite(feed.base_leakage_ohm)) feed.base_leakage_ohm = draw.leakage_ohm;
  for (std::size_t n = 0; n < there.antenna.wires.size(); ++n) {
    wire::Wire& w = there.antenna.wires[n];
    if (!w.person || !w.conductivity_s_m) continue;
    const bool hand =
        w.name == "person's right arm" && std::any_of(there.antenna.lumps.begin(), there.antenna.lumps.end(),
                                                      [&](const wire::WireLump& l) { return l.wire == n; });
    *w.conductivity_s_m *= hand ? draw.contact : draw.person;
  }
  const wire::Antenna upright = there.antenna;
  for (const double scale : {1.0, 0.5, 0.25, 0.0}) {
    there.antenna = upright;
    lay(there.antenna, draw, scale);
    try {
      wire::check_antenna(there.antenna, there.ground);
      return there;
    } catch (const DomainError&) {  // wires cross: less of it
    }
  }
  there.antenna = upright;  // not even the lying height can be had
  return there;
}

Walks walk(const station::Station& stated, const WalkSpread& spread, std::size_t walks, std::uint64_t seed,
           unsigned threads, const WalkProgress& progress, const std::function<bool()>& stop,
           const std::vector<double>& weights) {
  check(spread);
  require(weights.empty() || (weights.size() == stated.bands.size() &&
                              std::all_of(weights.begin(), weights.end(), [](double w) { return w > 0.0; })),
          "weights must be one a band, each above 0");
  const std::vector<double> weight = weights.empty() ? std::vector(stated.bands.size(), 1.0) : weights;
  const double all_weights = std::accumulate(weight.begin(), weight.end(), 0.0);
  require(walks > 0, "a station needs at least one walk");
  station::Station station = stated;
  for (const station::Arrangement& a : station.arrangements) {
    const station::KindDescription& kind = station::describe_kind(a.kind);
    const bool trimmed = (kind.takes_parts || kind.takes_coil) && a.trim != station::Trim::once;
    const bool tapped = kind.takes_coil && a.coil.turns > 0.0 &&
                        std::all_of(station.bands.begin(), station.bands.end(), [&](const station::Band& band) {
                          return std::any_of(a.coil.taps.begin(), a.coil.taps.end(),
                                             [&](const station::StatedTap& tap) { return tap.band == band.name; });
                        });
    if (kind.takes_parts && !trimmed && !tapped && a.settings.empty())
      throw DomainError(fmt::format("\"{}\" has no stated settings and cannot be walked with; legal: settings for "
                                    "every band, of a wound coil its turns and taps",
                                    a.name));
  }
  for (station::Band& band : station.bands) band = part_in_use(band);
  wire::SolveOptions options = wire::with_tables({});
  options.known = std::make_shared<wire::KnownCouplings>();  // set and person stay where they are
  options.every_point = true;                                // they are few, and chosen
  plan::AsStated few;
  few.few_points = true;
  few.coils = plan::wound_coils();
  few.bounds = false;
  std::vector<Walked> all(walks);
  std::vector<char> made(walks, 0);
  std::atomic<bool> stopped = false;
  std::mutex telling;
  std::size_t done = 0;
  in_blocks(walks, 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t w = first; w < last; ++w) {
      if (stopped) return;
      if (stop) {
        const std::lock_guard<std::mutex> lock(telling);
        if (stop()) {
          stopped = true;
          return;
        }
      }
      station::Station there = station;
      for (station::Antenna& antenna : there.antennas) {
        for (std::size_t n = 0; n < antenna.loads.size(); ++n) {
          station::AntennaLoad& load = antenna.loads[n];
          const std::optional<StatedWires>& wires = load.wires ? load.wires : load.solved_from;
          if (!wires) continue;
          load.load = walked_load(there, load.load.name, *wires, draw_world(spread, seed, w, n), spread, options);
          load.wires.reset();
        }
      }
      const plan::Plan plan = plan::plan_as_stated(there, few, 1);
      all[w].arrangements.resize(there.arrangements.size());
      for (const plan::BandResult& band : plan.bands) {
        for (std::size_t n = 0; n < band.arrangements.size(); ++n)
          all[w].arrangements[n].push_back(on_band(there, band.arrangements[n]));
      }
      made[w] = 1;
      const std::lock_guard<std::mutex> lock(telling);
      ++done;
      if (progress) progress(done, walks);
    }
  });

  Walks result;
  result.done = done;
  result.unfinished = done < walks;
  result.assumptions = assumptions_of(spread, station);
  for (std::size_t n = 0; n < station.arrangements.size() && done > 0; ++n) {
    ArrangementWalks arrangement;
    arrangement.name = station.arrangements[n].name;
    arrangement.mean_db.assign(done, 0.0);
    for (std::size_t b = 0; b < station.bands.size(); ++b) {
      std::vector<double> radiated, path, held;
      for (std::size_t w = 0; w < walks; ++w) {
        if (!made[w]) continue;
        const Walked::OnBand& on = all[w].arrangements[n][b];
        arrangement.mean_db[held.size()] += on.counted_db * weight[b] / all_weights;
        if (on.radiated_db) radiated.push_back(*on.radiated_db);
        if (on.path_db) path.push_back(*on.path_db);
        held.push_back(on.held_share);
      }
      WalkBand band;
      band.band = station.bands[b].name;
      if (radiated.size() == done) band.radiated_db = figure(radiated, true);
      if (path.size() == done && station.bands[b].path) band.path_db = figure(path, true);
      band.held_share = figure(held, false);
      arrangement.bands.push_back(band);
    }
    arrangement.mean = figure(arrangement.mean_db, true);
    result.arrangements.push_back(std::move(arrangement));
  }
  return result;
}

WalkRank rank_on_walks(const ArrangementWalks& first, const ArrangementWalks& second) {
  const std::size_t walks = first.mean_db.size();
  require(walks > 0 && walks == second.mean_db.size(), "two arrangements are ranked on the same walks, at least one");
  WalkRank rank;
  for (std::size_t w = 0; w < walks; ++w) {
    const double a = first.mean_db[w], b = second.mean_db[w];
    rank.first_better += (a < b ? 1.0 : a == b ? 0.5 : 0.0) / static_cast<double>(walks);
  }
  rank.undecided = 1.0 - rank.first_better > flips_above + 1e-9;
  rank.first_steadier = first.mean.tenth <= second.mean.tenth;
  const std::string& steadier = rank.first_steadier ? first.name : second.name;
  rank.verdict =
      rank.undecided
          ? fmt::format(
                "undecided: \"{}\" is better on {:.0f} % of the walks, \"{}\" on the others; the steadier one is "
                "\"{}\"",
                first.name, 100.0 * rank.first_better, second.name, steadier)
          : fmt::format("\"{}\" is better than \"{}\" on {:.0f} % of the walks", first.name, second.name,
                        100.0 * rank.first_better);
  return rank;
}

}  // namespace stile::design
