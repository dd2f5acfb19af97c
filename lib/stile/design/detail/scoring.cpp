#include <stile/design/detail/scoring.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/plan/band_order.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/sweep.hpp>

namespace stile::design::detail {
namespace {

using station::Band;
using station::Station;

constexpr double joined_ratio = 1.02;          // of samples of one band, as station loads have it
constexpr double narrow = 0.008, wide = 0.02;  // of a band's part in use: two samples below, five above

/// Frequencies at which the search solves a band.
std::vector<double> samples_hz(const Band& band) {
  const double low = band.use_low_hz, high = band.use_high_hz, width = (high - low) / low;
  const int count = width == 0.0 ? 1 : width < narrow ? 2 : width < wide ? 3 : 5;
  std::vector<double> all{low};
  for (int n = 1; n < count; ++n) all.push_back(n + 1 == count ? high : low + (high - low) * n / (count - 1));
  return all;
}

std::vector<double> samples_hz(const std::vector<Band>& bands) {
  std::vector<double> all;
  for (const Band& band : bands) {
    for (const double f : samples_hz(band)) all.push_back(f);
  }
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

/// A condition of an antenna as a load, at the search's frequencies.
load::Load search_load(const wire::WireCase& wires, const std::vector<Band>& bands,
                       const std::vector<double>& frequencies_hz, const wire::SolveOptions& options) {
  std::vector<cdouble> z_ohm;
  std::vector<load::PowerShares> shares;
  std::vector<double> gains;
  bool path = false;
  for (const wire::AntennaSolution& s : wire::sweep_antenna(wires.antenna, wires.ground, frequencies_hz, options, 1)) {
    z_ohm.push_back(s.feed_ohm);
    shares.push_back({s.share.radiated, s.share.metal + s.share.coil, s.share.ground, s.share.person, s.share.lump});
    const auto band = std::find_if(bands.begin(), bands.end(), [&](const Band& b) {
      return b.use_low_hz <= s.frequency_hz && s.frequency_hz <= b.use_high_hz;
    });
    gains.push_back(0.0);
    if (!band->path) continue;
    path = true;
    gains.back() =
        wire::mean_gain(s, band->path->elevation_deg.low * pi / 180.0, band->path->elevation_deg.high * pi / 180.0);
  }
  load::SampledLoad samples =
      load::make_sampled_load(frequencies_hz, std::move(z_ohm), std::move(shares), joined_ratio);
  if (path) samples.path_gain = std::move(gains);
  return {wires.name, "", std::move(samples), {}};
}

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

bool better(Objective objective, const Score& a, const Score& b) {
  if (!std::isfinite(a.objective_db)) return false;
  if (!std::isfinite(b.objective_db)) return true;
  if (objective == Objective::held && a.held != b.held) return a.held > b.held;
  return a.objective_db < b.objective_db;
}

Scoring::Scoring(const station::Brief& brief, const SearchOptions& options)
    : brief_(brief), objective_(options.objective), threads_(options.threads),
      tables_(std::make_shared<wire::GroundTables>()) {
  station::StationChoice choice;
  choice.name = brief.name;
  choice.antenna = {brief.whip.range_m.high,
                    std::vector(static_cast<std::size_t>(brief.most_wires), brief.wire.range_m.high), 0};
  for (std::size_t n = 0; n < brief.networks.size(); ++n) {
    if (options.touch && brief.networks[n].touch != *options.touch) continue;
    networks_.push_back(n);
    choice.networks.push_back({n, {}});
  }
  if (networks_.empty())
    throw DomainError(fmt::format("the brief has no match of the touch \"{}\"; legal: the touches of its kinds",
                                  options.touch ? station::touch_name(*options.touch) : "any"));
  frame_ = station::read_station(station::station_text(brief, choice, ""), brief.file, ".");
  for (Band& band : frame_.bands) band.low_hz = band.use_low_hz, band.high_hz = band.use_high_hz;
  frame_.antennas.front().loads.clear();
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
  return brief_.networks[network].mass_kg.has_value() && brief_.chokes[antenna.choke].mass_kg.has_value();
}

bool Scoring::within(const station::AntennaChoice& antenna, std::size_t network) const {
  constexpr double rounding = 1e-9;
  if (brief_.most_height_m && brief_.base_height_m + antenna.whip_m > *brief_.most_height_m + rounding) return false;
  return !brief_.most_mass_kg || mass_kg(antenna, network) <= *brief_.most_mass_kg + rounding;
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
  // With one setting a band an L network has all circuits of a base coil, of the same parts; what a hand trims is another.
  const auto of_band = [&](std::size_t n, station::ArrangementKind kind) {
    const station::NetworkOption& option = brief_.networks[networks_[n]];
    return option.kind == kind && option.touch == Touch::band;
  };
  if (std::any_of(taken.begin(), taken.end(),
                  [&](std::size_t n) { return of_band(n, station::ArrangementKind::l_network); }))
    scored.skipped +=
        std::erase_if(taken, [&](std::size_t n) { return of_band(n, station::ArrangementKind::base_coil); });
  if (taken.empty()) return scored;
  Station station = frame_;
  try {
    const std::vector<double> frequencies_hz = samples_hz(frame_.bands);
    wire::SolveOptions solving;
    solving.tables = tables_;
    solving.every_point = true;
    for (const wire::WireCase& wires : station::wire_cases(brief_, antenna)) {
      station.antennas.front().loads.push_back({search_load(wires, frame_.bands, frequencies_hz, solving), {}, {}});
      scored.solves += frequencies_hz.size();
    }
  } catch (const Error&) {
    return scored;  // a geometry that cannot be, or a load without resistance
  }
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
  const plan::Plan plan = plan::plan_as_stated(station, {true, objective_ == Objective::held}, 1);
  for (std::size_t k = 0; k < taken.size(); ++k) {
    Score& score = scored.scores[taken[k]];
    for (const plan::BandResult& band : plan.bands) {
      const plan::ArrangementResult& a = band.arrangements[k];
      score.counted_db.push_back(a.counted_db);
      score.holds.push_back(within_swr(a, station.transmitter.swr_limit) && within_ratings(a));
      if (score.holds.back())
        ++score.held;
      else
        score.not_held.push_back(band.band.name);
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
  d.mass_kg = mass_kg(antenna, network);
  d.mass_known = mass_known(antenna, network);
  d.station_file = file_stem + "-station.toml";
  d.wires_file = file_stem + "-wires.toml";

  station::StationChoice choice;
  choice.name = fmt::format("{}: touch {}", brief_.name, station::touch_name(option.touch));
  choice.antenna = antenna;
  choice.networks.push_back({network, {}});
  const auto read = [&] { return station::read_station(station::station_text(brief_, choice, ""), brief_.file, "."); };
  Station station = station::solve_loads(read(), {}, {}, threads_);
  const plan::AsStated how{false, objective_ == Objective::held};
  plan::Plan plan = plan::plan_as_stated(station, how, threads_);
  const bool possible = std::all_of(plan.bands.begin(), plan.bands.end(), [](const plan::BandResult& b) {
    return std::isfinite(b.arrangements.front().worst_swr);
  });
  std::vector<std::optional<match::Proof>> proofs;
  for (const plan::BandResult& band : plan.bands) proofs.push_back(band.arrangements.front().proof);
  if (station::describe_kind(option.kind).takes_parts && possible) {
    choice.networks.front().settings = stated_settings(plan, 0, option.touch == Touch::condition);
    Station written = read();
    written.antennas = std::move(station.antennas);
    station = std::move(written);
    plan = plan::plan_as_stated(station, how, threads_);
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
    figures.proof = proofs[b];
    for (const plan::ConditionResult& c : a.conditions) {
      if (c.possible) figures.settings.push_back({c.condition, c.setting.elements});
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
