#include <stile/design/detail/scoring.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/plan/band_order.hpp>
#include <stile/plan/plan.hpp>
#include <stile/plan/turns_found.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/tuner/tuner.hpp>

namespace stile::design::detail {
namespace {

using station::Band;
using station::Station;

/// A match without loss in every normal condition: no figure of a band is below.
double bound_db(const Station& station, const Band& band) {
  double worst_db = -network::infinite;
  for (std::size_t c = 0; c < station.conditions.size(); ++c) {
    if (station.conditions[c].role != station::Role::normal) continue;
    const load::Load& load = station.antennas.front().loads[c].load;
    for (const double f : {band.use_low_hz, band.design_hz, band.use_high_hz}) {
      const auto shares = load::load_shares(load, f);
      const auto gain = band.path ? load::load_path_gain(load, f) : std::nullopt;
      worst_db = std::max(worst_db, plan::db_below(1.0, gain ? *gain : shares ? shares->radiated : 1.0));
    }
  }
  return worst_db;
}

double weighted_mean(const std::vector<double>& values, const std::vector<double>& weights) {
  double sum = 0.0, weight = 0.0;
  for (std::size_t n = 0; n < values.size(); ++n) sum += weights[n] * values[n], weight += weights[n];
  return sum / weight;
}

bool within_swr(const plan::ArrangementResult& result, double limit) { return result.worst_swr <= limit; }

/// How far it is from holding, 0 where it holds: the logarithm of SWR over limit or stress over rating, the greater.
double excess(const plan::ArrangementResult& result, double limit) {
  double worst = std::max(1.0, result.worst_swr / limit);
  for (const plan::ConditionResult& c : result.conditions) {
    if (c.role == station::Role::accident) continue;
    for (const network::Overload& over : c.overloads) worst = std::max(worst, over.factor);
  }
  return std::log(worst);
}

/// Of what make_plan does not search: a tuner sets itself to the best of its states, and of the rest there is one
/// setting.
/// @param figures  the band's so far
std::optional<match::Proof> proof_of_all(const station::Arrangement& a, const BandFigures& figures) {
  const station::KindDescription& kind = station::describe_kind(a.kind);
  if (kind.automatic)  // beyond the limit a state that delivers less may fold back less
    return match::Proof{
        tuner::state_count(a.tuner), figures.within_swr ? figures.counted_db : figures.bound_db, figures.within_swr,
        "in each condition, at each frequency, the tuner's state within the SWR limit that delivers most, "
        "else of all states the one that does"};
  if (kind.takes_parts) return {};
  return match::Proof{1, figures.counted_db, true, "there is nothing to set"};
}

}  // namespace

bool within_ratings(const plan::ArrangementResult& result) {
  return std::all_of(result.conditions.begin(), result.conditions.end(), [](const plan::ConditionResult& c) {
    return c.role == station::Role::accident || c.overloads.empty();
  });
}

std::vector<station::StatedSetting> stated_settings(const plan::Plan& plan, std::size_t arrangement,
                                                    bool each_condition) {
  std::vector<station::StatedSetting> settings;
  for (const plan::BandResult& band : plan.bands) {
    for (const plan::ConditionResult& c : band.arrangements[arrangement].conditions) {
      if (each_condition) {
        settings.push_back({band.band.name, c.condition, c.setting.elements});
      } else if (c.role == station::Role::normal) {
        settings.push_back({band.band.name, "", c.setting.elements});
        break;
      }
    }
  }
  return settings;
}

std::vector<station::StatedTap> stated_taps(const plan::Plan& plan, std::size_t arrangement) {
  std::vector<station::StatedTap> taps;
  for (const plan::BandResult& band : plan.bands) {
    for (const plan::ConditionResult& c : band.arrangements[arrangement].conditions) {
      if (c.role != station::Role::normal) continue;
      const plan::Setting& s = c.setting;
      taps.push_back({band.band.name, s.tap_turns.value_or(0.0), s.unused, s.feed_turns});
      break;
    }
  }
  return taps;
}

bool better(Objective objective, const Score& a, const Score& b) {
  if (!std::isfinite(a.objective_db)) return false;
  if (!std::isfinite(b.objective_db)) return true;
  if (objective == Objective::held && a.held != b.held) return a.held > b.held;
  return a.objective_db < b.objective_db;
}

namespace {

/// The networks of a brief that take part. @throws DomainError  none
std::vector<std::size_t> networks_of(const station::Brief& brief, const std::optional<Touch>& touch) {
  std::vector<std::size_t> all;
  for (std::size_t n = 0; n < brief.networks.size(); ++n) {
    if (!touch || brief.networks[n].touch == *touch) all.push_back(n);
  }
  if (all.empty())
    throw DomainError(fmt::format("the brief has no match of the touch \"{}\"; legal: the touches of its kinds",
                                  touch ? station::touch_name(*touch) : "any"));
  return all;
}

/// The brief's station with these networks, bands narrowed to the parts in use; no loads.
station::Station frame_of(const station::Brief& brief, const std::vector<std::size_t>& networks) {
  station::StationChoice choice;
  choice.name = brief.name;
  choice.antenna = {brief.whip.range_m.high,
                    std::vector(static_cast<std::size_t>(brief.most_wires), brief.wire.range_m.high), 0};
  for (const std::size_t n : networks) choice.networks.push_back({n, {}});
  station::Station frame = station::read_station(station::station_text(brief, choice, ""), brief.file, ".");
  for (Band& band : frame.bands) band.low_hz = band.use_low_hz, band.high_hz = band.use_high_hz;
  frame.antennas.front().loads.clear();
  return frame;
}

}  // namespace

Scoring::Scoring(const station::Brief& brief, const SearchOptions& options, std::shared_ptr<Antennas> known)
    : brief_(brief), objective_(options.objective), threads_(options.threads), every_point_(options.every_point),
      networks_(networks_of(brief, options.touch)), frame_(frame_of(brief, networks_)),
      antennas_(known && known->of(brief) ? std::move(known) : std::make_shared<Antennas>(brief, frame_.bands)),
      coils_(plan::wound_coils()) {
  wind_coils();
}

/// Coils without stated turns get, for the search, those that the shortest antenna needs, or the longest where that one
/// cannot be: every longer one needs fewer, and has the rest dead. What is found gets its own.
void Scoring::wind_coils() {
  Station trial = frame_;
  std::erase_if(trial.arrangements, [](const station::Arrangement& a) {
    return !station::describe_kind(a.kind).takes_coil || a.coil.turns > 0.0;
  });
  if (trial.arrangements.empty()) return;
  for (const bool longest : {false, true}) {
    const auto end = [&](const Range& range_m) { return longest ? range_m.high : range_m.low; };
    const auto wires = static_cast<std::size_t>(longest ? brief_.most_wires : brief_.least_wires);
    for (load::Load& l : antennas_->solved({end(brief_.whip.range_m), std::vector(wires, end(brief_.wire.range_m)), 0}))
      trial.antennas.front().loads.push_back({std::move(l), {}, {}});
    if (!trial.antennas.front().loads.empty()) break;
  }
  if (trial.antennas.front().loads.empty()) return;
  const Station wound = with_turns(trial);
  for (station::Arrangement& a : frame_.arrangements) {
    for (const station::Arrangement& w : wound.arrangements) {
      if (w.name == a.name) a.coil.turns = w.coil.turns;
    }
  }
}

/// Its coils with the turns that its antenna needs, within the brief's limit.
Station Scoring::with_turns(const Station& station) const {
  const auto plan = [&](const Station& trial) {
    return plan::plan_as_stated(trial, {true, objective_ == Objective::held, coils_, false}, threads_);
  };
  Station wound = plan::with_turns_found(station, plan);
  for (station::Arrangement& a : wound.arrangements)
    a.coil.turns = std::min(a.coil.turns, brief_.most_turns.value_or(network::infinite));
  return wound;
}

std::vector<Touch> Scoring::touches() const {
  std::vector<Touch> all;
  for (const Touch touch : {Touch::nothing, Touch::band, Touch::condition, Touch::automatic}) {
    if (std::any_of(networks_.begin(), networks_.end(),
                    [&](std::size_t n) { return brief_.networks[n].touch == touch; }))
      all.push_back(touch);
  }
  return all;
}

bool Scoring::towards_path() const {
  return std::all_of(frame_.bands.begin(), frame_.bands.end(), [](const Band& b) { return b.path.has_value(); });
}

double Scoring::mass_kg(const station::AntennaChoice& antenna, std::size_t network) const {
  return station::antenna_mass_kg(brief_, antenna) + brief_.networks[network].mass_kg.value_or(0.0);
}

bool Scoring::mass_known(const station::AntennaChoice& antenna, std::size_t network) const {
  return brief_.networks[network].mass_kg.has_value() && station::antenna_mass_known(brief_, antenna);
}

bool Scoring::within(const station::AntennaChoice& antenna, std::size_t network) const {
  constexpr double rounding = 1e-9;
  if (brief_.most_height_m && brief_.base_height_m + antenna.whip_m > *brief_.most_height_m + rounding) return false;
  return !brief_.most_mass_kg || mass_kg(antenna, network) <= *brief_.most_mass_kg + rounding;
}

bool Scoring::wanted(const station::AntennaChoice& antenna, const Ask& ask) const {
  for (std::size_t n = 0; n < networks_.size(); ++n) {
    if ((!ask.only || n == *ask.only) && (ask.beyond_limits || within(antenna, networks_[n]))) return true;
  }
  return false;
}

Scored Scoring::score(const station::AntennaChoice& antenna, const Ask& ask) const {
  Scored scored;
  scored.antenna = antenna;
  scored.scores.assign(networks_.size(), Score{0, network::infinite});
  scored.bound_db = network::infinite;
  std::vector<std::size_t> taken;  // places in networks_
  for (std::size_t n = 0; n < networks_.size(); ++n) {
    if (ask.only && n != *ask.only) continue;
    if (ask.beyond_limits || within(antenna, networks_[n])) taken.push_back(n);
  }
  // What another has whole need not be tried; what a hand trims is another.
  const auto once_a_band = [&](std::size_t n) { return brief_.networks[networks_[n]].touch == Touch::band; };
  const std::vector<std::size_t> all = taken;
  scored.skipped += std::erase_if(taken, [&](std::size_t n) {
    const auto whole = station::describe_kind(brief_.networks[networks_[n]].kind).contained_in;
    return whole && once_a_band(n) && std::any_of(all.begin(), all.end(), [&](std::size_t m) {
             return once_a_band(m) && brief_.networks[networks_[m]].kind == *whole;
           });
  });
  if (taken.empty()) return scored;
  Station station = frame_;
  for (load::Load& l : ask.interpolated ? antennas_->interpolated(antenna, ask.near) : antennas_->solved(antenna))
    station.antennas.front().loads.push_back({std::move(l), {}, {}});
  if (station.antennas.front().loads.empty()) return scored;
  std::vector<double> bounds_db;
  for (const Band& band : station.bands) bounds_db.push_back(bound_db(station, band));
  scored.bound_db = weighted_mean(bounds_db, brief_.weights);
  std::erase_if(taken, [&](std::size_t n) {
    if (ask.best.empty() || scored.bound_db < ask.best[n].objective_db) return false;
    if (objective_ == Objective::held && ask.best[n].held < station.bands.size()) return false;
    ++scored.skipped;
    return true;
  });
  if (taken.empty()) return scored;
  station.arrangements.clear();
  for (const std::size_t n : taken) station.arrangements.push_back(frame_.arrangements[n]);
  const plan::Plan plan = plan::plan_as_stated(station, {true, objective_ == Objective::held, coils_, false}, 1);
  for (std::size_t k = 0; k < taken.size(); ++k) {
    Score& score = scored.scores[taken[k]];
    for (const plan::BandResult& band : plan.bands) {
      const plan::ArrangementResult& a = band.arrangements[k];
      score.counted_db.push_back(a.counted_db);
      const double over = excess(a, station.transmitter.swr_limit);
      score.holds.push_back(over == 0.0);
      if (score.holds.back()) {
        ++score.held;
      } else {
        score.nearest = score.not_held.empty() ? over : std::min(score.nearest, over);
        score.not_held.push_back(band.band.name);
      }
      scored.settings += a.proof ? a.proof->tried : 1;
    }
    score.objective_db = weighted_mean(score.counted_db, brief_.weights);
  }
  return scored;
}

DesignedStation Scoring::exact(const station::AntennaChoice& antenna, std::size_t network,
                               const std::string& file_stem) const {
  const station::NetworkOption& option = brief_.networks[network];
  DesignedStation d;
  d.touch = option.touch;
  d.network = network;
  d.network_name = option.name;
  d.antenna = antenna;
  d.choke = brief_.chokes[antenna.choke].name;
  d.hat = brief_.hats[antenna.hat].name;
  d.loading = brief_.loading[antenna.loading].name;
  if (antenna.wires_m.size() > 1) d.layout = brief_.layouts[antenna.layout];
  d.mass_kg = mass_kg(antenna, network);
  d.mass_known = mass_known(antenna, network);
  d.station_file = file_stem + "-station.toml";
  d.wires_file = file_stem + "-wires.toml";

  station::StationChoice choice;
  choice.name = fmt::format("{}: touch {}", brief_.name, station::touch_name(option.touch));
  choice.antenna = antenna;
  choice.networks.push_back({network, {}});
  const auto read = [&] { return station::read_station(station::station_text(brief_, choice, ""), brief_.file, "."); };
  const plan::AsStated how{false, objective_ == Objective::held, coils_};
  const auto known = whole_bands_.find(antenna);
  Station station = read();
  if (known == whole_bands_.end()) {
    wire::SolveOptions solving = antennas_->solving();
    solving.every_point = every_point_;
    station = station::solve_loads(std::move(station), {}, {}, threads_, solving);
    whole_bands_.emplace(antenna, station.antennas);
  } else {
    station.antennas = known->second;
  }
  const auto planned = [&] {  // the same loads, otherwise as `choice` now says
    Station written = read();
    written.antennas = std::move(station.antennas);
    station = std::move(written);
    return plan::plan_as_stated(station, how, threads_);
  };
  plan::Plan plan;
  const bool wound = station::describe_kind(option.kind).takes_coil;
  if (wound) {
    // The search's turns, and those that this antenna asks for.
    const auto place =
        static_cast<std::size_t>(std::find(networks_.begin(), networks_.end(), network) - networks_.begin());
    const double own = with_turns(station).arrangements.front().coil.turns;
    std::optional<std::pair<Score, double>> best;
    for (const double turns : {frame_.arrangements[place].coil.turns, own}) {
      choice.networks.front().turns = turns;
      plan = planned();
      Score score;
      std::vector<double> counted_db;
      for (const plan::BandResult& band : plan.bands) {
        counted_db.push_back(band.arrangements.front().counted_db);
        score.held += excess(band.arrangements.front(), station.transmitter.swr_limit) == 0.0 ? 1U : 0U;
      }
      score.objective_db = weighted_mean(counted_db, brief_.weights);
      if (!best || better(objective_, score, best->first)) best = {score, turns};
      if (own == turns) break;
    }
    choice.networks.front().turns = d.coil_turns = best->second;
    if (best->second != own) plan = planned();
    const auto coil = std::find_if(brief_.coils.begin(), brief_.coils.end(),
                                   [&](const station::CoilOption& c) { return c.name == option.coil; });
    d.coil = coil->said;
  } else {
    plan = plan::plan_as_stated(station, how, threads_);
  }
  const bool possible = std::all_of(plan.bands.begin(), plan.bands.end(), [](const plan::BandResult& b) {
    return std::isfinite(b.arrangements.front().worst_swr);
  });
  std::vector<std::optional<match::Proof>> proofs;
  for (const plan::BandResult& band : plan.bands) proofs.push_back(band.arrangements.front().proof);
  if (wound && possible && option.touch == Touch::band) {
    choice.networks.front().taps = stated_taps(plan, 0);
    plan = planned();
  } else if (!wound && station::describe_kind(option.kind).takes_parts && possible) {
    choice.networks.front().settings = stated_settings(plan, 0, option.touch == Touch::condition);
    plan = planned();
  }
  d.station_text = station::station_text(
      brief_, choice, d.wires_file,
      {"Found by stile-design from the brief \"" + brief_.name + "\".", "Its antenna stands in " + d.wires_file + "."});
  d.wires_text = station::wires_text(brief_, antenna);

  std::vector<double> counted_db;
  for (std::size_t b = 0; b < plan.bands.size(); ++b) {
    const plan::ArrangementResult& a = plan.bands[b].arrangements.front();
    BandFigures figures;
    figures.band = plan.bands[b].band.name;
    figures.radiated_db = a.radiated_db;
    figures.path_db = a.path_db;
    figures.counted_db = a.counted_db;
    figures.worst_condition = a.conditions[a.worst].condition;
    figures.worst_swr = a.worst_swr;
    figures.within_swr = within_swr(a, brief_.given.transmitter.swr_limit);
    figures.within_ratings = within_ratings(a);
    figures.holds = figures.within_swr && figures.within_ratings;
    figures.bound_db = bound_db(station, plan.bands[b].band);
    figures.proof = proofs[b] ? proofs[b] : proof_of_all(station.arrangements.front(), figures);
    for (const plan::ConditionResult& c : a.conditions) {
      if (c.possible)
        figures.settings.push_back({c.condition, c.setting.elements, c.setting.tap_turns, c.setting.feed_turns});
    }
    d.held_bands += figures.holds ? 1U : 0U;
    counted_db.push_back(a.counted_db);
    d.bands.push_back(std::move(figures));
  }
  d.objective_db = weighted_mean(counted_db, brief_.weights);
  const plan::BandOrder order = plan::band_orders(station, plan).front();
  d.hands = order.between_conditions.touches();
  for (const plan::HandWork& step : order.steps)
    d.hands_between_bands = std::max(d.hands_between_bands, step.touches());
  d.cautions = std::move(plan.cautions);
  d.station = std::move(station);
  return d;
}

}  // namespace stile::design::detail
