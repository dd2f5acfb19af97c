#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/coil/turns.hpp>
#include <stile/plan/coil_prescription.hpp>
#include <stile/plan/detail/coil_settings.hpp>

namespace stile::plan {

namespace {

constexpr double own_step_turns = 0.25;  // of a coil by itself: its ends may stand anywhere around the former

bool is_coil(const network::Element& element) { return std::holds_alternative<network::Inductor>(element.part); }

/// Of coils in series the last, which is next to the antenna; else the first of the others. Nothing: no coil.
std::optional<std::size_t> tapped_part(const Setting& setting) {
  std::optional<std::size_t> found;
  for (std::size_t n = 0; n < setting.elements.size(); ++n) {
    const network::Element& e = setting.elements[n];
    if (is_coil(e) && (!found || e.place == network::Place::series)) found = n;
  }
  return found;
}

/// Which element of the plan's ladder is the part of its setting.
std::size_t in_ladder(const ConditionResult& c, const network::Element& part) {
  const auto same = [&](const network::Element& e) {
    return e.label == part.label && e.place == part.place && is_coil(e);
  };
  const auto at = std::find_if(c.ladder.elements.begin(), c.ladder.elements.end(), same);
  require(at != c.ladder.elements.end(), "the plan's ladder has not the parts of its setting");
  return static_cast<std::size_t>(at - c.ladder.elements.begin());
}

/// Why a setting cannot be made of the winding and its former; empty: it can.
std::string unmade(const CoilSetting& s) {
  if (!s.reached) return fmt::format("no tap has {}", print_quantity(s.planned_h.value(), Unit::henry));
  for (const OwnWinding& own : s.windings) {
    if (own.turns == 0.0)
      return fmt::format("no turns on the former have {}",
                         print_quantity(network::value_si(s.setting.elements[own.element].part), Unit::henry));
  }
  return "";
}

}  // namespace

std::vector<std::size_t> arrangements_of_parts(const station::Station& station) {
  std::vector<std::size_t> found;
  for (std::size_t n = 0; n < station.arrangements.size(); ++n) {
    if (station::describe_kind(station.arrangements[n].kind).coil_is_a_part) found.push_back(n);
  }
  return found;
}

std::optional<std::size_t> arrangement_to_wind(const station::Station& station, const Plan& plan) {
  std::optional<std::size_t> best;
  std::pair<int, int> most;
  for (const std::size_t n : arrangements_of_parts(station)) {
    std::pair<int, int> serves;
    for (const BandResult& band : plan.bands) {
      serves.first += band.choice != Choice::none && band.taken == n ? 1 : 0;
      serves.second += band.arrangements[n].ok ? 1 : 0;
    }
    if (!best || serves > most) best = n, most = serves;
  }
  return best;
}

std::vector<PartToWind> parts_to_wind(const station::Station& station, const Plan& plan, std::size_t arrangement,
                                      const std::vector<std::string>& conditions) {
  std::vector<PartToWind> parts;
  for (const BandResult& band : plan.bands) {
    for (std::size_t c = 0; c < station.conditions.size(); ++c) {
      const ConditionResult& result = band.arrangements.at(arrangement).conditions.at(c);
      if (!detail::counts(conditions, result.condition) || !result.possible) continue;
      const auto part = tapped_part(result.setting);
      if (!part) continue;
      const double f = band.band.design_hz;
      const load::Load& load = station::load_of(station, station.arrangements[arrangement], c);
      const double x_ohm = network::impedance(result.setting.elements[*part].part, f).imag();
      // Behind more resistance the capacitance of the far end would count, and the tap be another.
      const double r_ohm = std::min(load::load_impedance(load, f).real(), 0.1 * std::abs(x_ohm));
      parts.push_back(
          {band.band.name, result.condition, *part, {band.band.name + ", " + result.condition, f, {r_ohm, -x_ohm}}});
    }
  }
  return parts;
}

CoilPrescription prescription_of_parts(const station::Station& station, const Plan& plan, std::size_t arrangement,
                                       const std::vector<PartToWind>& parts, const coil::CoilDesign& design,
                                       double most_turns, const std::vector<std::string>& conditions,
                                       const coil::Service& service) {
  require(design.bands.size() == parts.size(), "the design is of other parts");
  const station::Arrangement& user = station.arrangements.at(arrangement);
  CoilPrescription p;
  p.winding = design.winding;
  p.arrangements = {user.name};
  const coil::CoilModel model = coil::coil_model(p.winding);
  std::map<std::pair<double, double>, coil::TurnsFound> beside;
  const auto own_winding = [&](std::size_t element, double inductance_h, double frequency_hz) {
    const std::pair key{inductance_h, frequency_hz};
    auto known = beside.find(key);
    if (known == beside.end())
      known = beside.emplace(key, coil::find_turns(p.winding, inductance_h, frequency_hz, own_step_turns, most_turns))
                  .first;
    const coil::TurnsFound& found = known->second;
    return OwnWinding{element, found.status == coil::TurnsStatus::found ? found.nearest : 0.0, found.inductance_h};
  };
  for (const BandResult& band : plan.bands) {
    detail::WorstFault worst(station.transmitter.swr_limit);
    for (std::size_t c = 0; c < station.conditions.size(); ++c) {
      const ConditionResult& result = band.arrangements.at(arrangement).conditions.at(c);
      if (!detail::counts(conditions, result.condition)) continue;
      CoilSetting& s = p.settings.emplace_back(detail::coil_setting(station, user, band, result, c));
      const auto part = std::find_if(parts.begin(), parts.end(), [&](const PartToWind& each) {
        return each.band == s.band && each.condition == s.condition;
      });
      std::string why;
      if (part != parts.end()) {
        const coil::BandDesign& made = design.bands[static_cast<std::size_t>(part - parts.begin())];
        const network::Element& e = s.setting.elements.at(part->element);
        s.planned_h = network::value_si(e.part);
        s.left_ohm = made.chosen().residual_ohm;
        s.reached = made.chosen().reached && made.chosen().turns > 0.0;
        s.beside.clear();
        for (std::size_t n = 0; n < s.setting.elements.size(); ++n) {
          if (n == part->element) continue;
          s.beside.push_back(s.setting.elements[n]);
          if (is_coil(s.setting.elements[n]))
            s.windings.push_back(own_winding(n, network::value_si(s.setting.elements[n].part), s.frequency_hz));
        }
        s.setting.tap_turns = made.chosen().turns;
        s.setting.unused = made.better;
        s.current_a_rms = detail::branch_current_a_rms(result, in_ladder(result, e), s.frequency_hz);
        if (made.chosen().turns > 0.0) {
          s.wound = part->element;
          s.point = made.coil;
          s.ratings = detail::rated(s, model, service);
        }
        why = unmade(s);
        s.holds = s.holds && why.empty();
        s.winding_warning = why.empty() ? made.residual_warning : fmt::format("{}, {}: {}", s.band, s.condition, why);
      }
      if (!s.holds) worst.take(s, result, user, why);
    }
    if (!worst.text().empty())
      p.unserved.push_back(fmt::format("{}: no setting of the coil holds ({})", band.band.name, worst.text()));
  }
  p.taps = detail::taps_of(p.settings, conditions.empty() ? station.conditions.size() : conditions.size());
  return p;
}

}  // namespace stile::plan
