#include <stile/plan/coil_prescription.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>
#include <utility>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/plan/detail/coil_settings.hpp>
#include <stile/station/wound.hpp>
#include <stile/wire/solve.hpp>

namespace stile::plan {

namespace {

/// Turns between which a setting has voltage: of an autotransformer up to the higher of its taps.
double used_turns(const Setting& s) { return std::max(s.tap_turns.value_or(0.0), s.feed_turns.value_or(0.0)); }

/// Analyses each tap in use once.
class Analyses {
public:
  Analyses(const coil::Winding& winding, double switch_ohm)
      : model_(coil::coil_model(winding)), switch_ohm_(switch_ohm) {}

  const coil::CoilModel& model() const { return model_; }

  const coil::CoilPoint& of(double frequency_hz, const Setting& use) {
    const std::tuple key{frequency_hz, used_turns(use), use.unused};
    const auto known = points_.find(key);
    if (known != points_.end()) return known->second;
    auto turns = turns_.find(frequency_hz);
    if (turns == turns_.end()) turns = turns_.emplace(frequency_hz, coil::solve_turns(model_, frequency_hz)).first;
    const coil::Connection tapped =
        coil::tapped(model_.winding, used_turns(use), use.unused, coil::Grounded::from, switch_ohm_);
    return points_.emplace(key, coil::analyse(model_, turns->second, tapped)).first->second;
  }

  /// All turns between two ends that carry voltage.
  const coil::CoilPoint& floating(double frequency_hz) {
    const auto known = floating_.find(frequency_hz);
    if (known != floating_.end()) return known->second;
    return floating_
        .emplace(frequency_hz, coil::analyse(model_, coil::solve_turns(model_, frequency_hz),
                                             coil::whole(model_.winding, coil::Grounded::neither)))
        .first->second;
  }

private:
  coil::CoilModel model_;
  double switch_ohm_;
  std::map<double, coil::CoilPoint> floating_;
  std::map<double, coil::TurnSolution> turns_;
  std::map<std::tuple<double, double, coil::Unused>, coil::CoilPoint> points_;
};

/// Of an autotransformer: the current that gives the turns in use the voltage between ground and the higher of its
/// taps, or the antenna's where that is more.
double fed_current_a_rms(const CoilSetting& s, const ConditionResult& c, const coil::CoilPoint& point) {
  const std::vector<network::Element>& elements = c.ladder.elements;
  const std::string& coil = s.setting.elements.front().label;
  std::size_t first = 0;
  while (elements[first].label != coil) ++first;
  const std::size_t last = first + s.setting.elements.size() - 1;
  const auto seen_ohm = [&](std::size_t from) {
    std::vector<network::Chain> chains;
    for (std::size_t n = from; n < elements.size(); ++n) chains.push_back(network::chain(elements[n], s.frequency_hz));
    return std::abs(network::input_impedance(chains, s.load_ohm));
  };
  const double out_a_rms = c.evaluation.elements[last].current_a_rms;
  const double highest_v_rms =
      std::max(c.evaluation.elements[first].current_a_rms * seen_ohm(first), out_a_rms * seen_ohm(last + 1));
  return std::max(out_a_rms, highest_v_rms / std::abs(point.z_ohm));
}

/// The greatest along a coil part-way up a whip, with this power into the antenna.
double part_way_current_a_rms(const station::Station& station, const station::Arrangement& arrangement,
                              std::size_t condition, double frequency_hz, double power_w) {
  const auto& wires = station.antennas.at(arrangement.antenna).loads.at(condition).solved_from;
  require(wires.has_value() && !wires->antenna.coils.empty(), "the station's wires must be solved");
  const wire::WireCoil& coil = wires->antenna.coils.back();
  const wire::AntennaSolution s = wire::solve_antenna(wires->antenna, wires->ground, frequency_hz);
  double most_a = 0.0;
  for (const wire::CellCurrent& cell : s.cells) {
    const double middle_m = cell.distance_m + 0.5 * cell.length_m;
    if (cell.wire == coil.wire && std::abs(middle_m - coil.distance_m) <= 0.5 * coil.length_m)
      most_a = std::max({most_a, std::abs(cell.start_a), std::abs(cell.end_a)});
  }
  return most_a * std::sqrt(power_w * (1.0 - s.leakage_share) / s.antenna_ohm.real());
}

}  // namespace

CoilPrescription coil_prescription(const station::Station& station, const Plan& plan, const std::string& coil,
                                   const std::string& arrangement, const std::vector<std::string>& conditions,
                                   const coil::Service& service) {
  CoilPrescription p;
  p.coil = coil;
  std::vector<std::size_t> users;
  for (std::size_t n = 0; n < station.arrangements.size(); ++n) {
    const station::Arrangement& a = station.arrangements[n];
    if (!station::winds_coil(a, coil)) continue;
    if (!arrangement.empty() && a.name != arrangement) continue;
    const bool part_way = station::winds_part_way(a, coil);
    const std::optional<coil::Winding> winding =
        part_way ? std::optional(station::wound(*a.whip->coil, a.whip->coil->turns)) : plan.windings.at(n);
    require(winding.has_value(), "the plan is of another station");
    if (users.empty()) {
      p.winding = *winding;
    } else if (coil::total_turns(*winding) != coil::total_turns(p.winding)) {
      throw DomainError(
          fmt::format("\"{}\" and \"{}\" wind the coil \"{}\" with {:g} and {:g} turns; legal: the name of one",
                      p.arrangements.front(), a.name, coil, coil::total_turns(p.winding), coil::total_turns(*winding)));
    }
    users.push_back(n);
    p.arrangements.push_back(a.name);
  }
  if (users.empty()) throw DomainError(fmt::format("no arrangement winds the coil \"{}\"", coil));

  Analyses analyses(p.winding, station.arrangements[users.front()].coil.switch_ohm);
  for (const BandResult& band : plan.bands) {
    std::string why;
    bool served = false;
    for (const std::size_t n : users) {
      const station::Arrangement& user = station.arrangements[n];
      detail::WorstFault worst(station.transmitter.swr_limit);
      for (std::size_t c = 0; c < station.conditions.size(); ++c) {
        if (!detail::counts(conditions, station.conditions[c].name)) continue;
        const ConditionResult& result = band.arrangements[n].conditions[c];
        CoilSetting& s = p.settings.emplace_back(detail::coil_setting(station, user, band, result, c));
        if (!s.holds) worst.take(s, result, user);
        if (station::winds_part_way(user, coil) && s.possible) {
          s.part_way = true;
          s.wound.reset();
          s.beside = s.setting.elements;
          s.setting.tap_turns = coil::total_turns(p.winding);
          s.setting.feed_turns.reset();
          s.current_a_rms =
              part_way_current_a_rms(station, user, c, s.frequency_hz, result.evaluation.power.delivered_w);
        }
        if (!s.in_use()) continue;
        s.point = s.part_way ? analyses.floating(s.frequency_hz) : analyses.of(s.frequency_hz, s.setting);
        if (s.setting.feed_turns) s.current_a_rms = fed_current_a_rms(s, result, *s.point);
        s.ratings = detail::rated(s, analyses.model(), service);
      }
      served |= worst.text().empty();
      why += (why.empty() ? "" : "; ") + worst.text();
    }
    if (!served) p.unserved.push_back(fmt::format("{}: no setting of the coil holds ({})", band.band.name, why));
  }
  p.taps = detail::taps_of(p.settings, conditions.empty() ? station.conditions.size() : conditions.size());
  return p;
}

}  // namespace stile::plan
