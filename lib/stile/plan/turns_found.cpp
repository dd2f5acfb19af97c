#include <stile/plan/turns_found.hpp>

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/core.h>

#include <stile/coil/turn_choice.hpp>
#include <stile/plan/detail/switched_coil.hpp>

namespace stile::plan {

namespace {

constexpr double before_resonance = 2.0;
constexpr int patience = 3;

/// What a draft may use in place of what is stated: few values are soon searched. Never what the station could not
/// have.
std::optional<match::ESeries> soon_searched(const std::optional<match::ESeries>& series,
                                            const std::optional<double>& step) {
  if (step) return series;
  return series ? std::min(*series, match::ESeries::e12) : match::ESeries::e12;
}

/// A plan of these arrangements alone, with the coil wound with so many turns.
coil::TurnsJudged judged(const station::Station& station, const std::vector<std::size_t>& users, double turns,
                         const std::function<Plan(const station::Station&)>& plan) {
  station::Station trial = station;
  trial.arrangements.clear();
  trial.uncertainty = {};
  trial.uncertainty.q = trial.uncertainty.ground = 0.0;
  for (station::Antenna& antenna : trial.antennas) {
    for (station::AntennaLoad& load : antenna.loads) load.ends.clear();
  }
  for (const std::size_t n : users) {
    trial.arrangements.push_back(station.arrangements[n]);
    station::Arrangement& trial_user = trial.arrangements.back();
    trial_user.coil.turns = turns;
    if (station::describe_kind(trial_user.kind).fed_at_tap) trial_user.coil.tap_step_turns = 1.0;
    match::PartSteps& parts = trial_user.parts;
    parts.inductor_series = soon_searched(parts.inductor_series, parts.inductor_step_h);
    parts.capacitor_series = soon_searched(parts.capacitor_series, parts.capacitor_step_f);
  }
  coil::TurnsJudged judged;
  for (const BandResult& band : plan(trial).bands) {
    bool served = false;
    double least_db = network::infinite;
    for (const ArrangementResult& a : band.arrangements) {
      served |= a.ok;
      if (a.ok) least_db = std::min(least_db, a.counted_db);
    }
    judged.failing += served ? 0 : 1;
    if (served) judged.loss_db = std::max(judged.loss_db, least_db);  // what fails says nothing about the coil
  }
  return judged;
}

}  // namespace

station::Station with_turns_found(const station::Station& stated,
                                  const std::function<Plan(const station::Station&)>& plan,
                                  const std::function<void(const std::string&)>& progress) {
  station::Station station = stated;
  const std::vector<station::Arrangement>& all = stated.arrangements;
  for (std::size_t n = 0; n < all.size(); ++n) {
    if (!station::describe_kind(all[n].kind).takes_coil || station.arrangements[n].coil.turns > 0.0) continue;
    std::vector<std::size_t> users;  // of which those that wind the same coil for the same loads need the same turns
    double turns = 1.0;
    for (std::size_t m = n; m < all.size(); ++m) {
      const station::SwitchedCoil& coil = all[m].coil;
      if (!station::describe_kind(all[m].kind).takes_coil || coil.name != all[n].coil.name || coil.turns > 0.0)
        continue;
      const bool known = std::any_of(users.begin(), users.end(),
                                     [&](std::size_t user) { return detail::same_coil(all[user], all[m]); });
      users.push_back(m);
      if (!known) turns = std::max(turns, detail::resonating_turns(all[m], stated));
    }
    const bool all_stated = std::all_of(stated.bands.begin(), stated.bands.end(), [&](const station::Band& band) {
      return std::any_of(all[n].coil.taps.begin(), all[n].coil.taps.end(),
                         [&](const station::StatedTap& tap) { return tap.band == band.name; });
    });
    if (!all_stated) {
      const double least = std::min(detail::most_turns, std::max(1.0, std::ceil(turns) - before_resonance));
      turns = coil::choose_turns(least, detail::most_turns, patience, [&](double tried) {
                if (progress) progress(fmt::format("{}: {:g} turns", all[n].name, tried));
                return judged(stated, users, tried, plan);
              }).turns;
    }
    for (const std::size_t m : users) station.arrangements[m].coil.turns = turns;
  }
  return station;
}

}  // namespace stile::plan
