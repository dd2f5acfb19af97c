#include <stile/plan/detail/coil_places.hpp>

#include <algorithm>
#include <utility>
#include <variant>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/network/chain.hpp>

namespace stile::plan::detail {
namespace {

using network::Chain;

/// Of a ladder the last element of its coil; nothing: it has none.
std::optional<std::size_t> last_of_coil(const ConditionResult& c) {
  const std::vector<network::Element>& all = c.ladder.elements;
  const bool wound = c.setting.tap_turns.value_or(0.0) > 0.0;
  for (std::size_t n = all.size(); n-- > 0;) {
    if (c.setting.feed_turns) {
      if (all[n].label == c.setting.elements.front().label) return n;
    } else if (all[n].place == network::Place::series &&
               (wound || std::holds_alternative<network::Inductor>(all[n].part))) {
      return n;
    }
  }
  return {};
}

/// From the coil's voltage, and its currents into the antenna's side and a hand, to those at the antenna's terminals.
safety::CoilPlace behind(const Chain& after, const std::string& where, cdouble ratio, cdouble antenna_ohm,
                         cdouble hand_ohm) {
  return {where, ratio * after.a + antenna_ohm * after.c, ratio * after.b + antenna_ohm * after.d, hand_ohm};
}

}  // namespace

CoilPlaces::CoilPlaces(const station::Arrangement& arrangement, const std::optional<coil::Winding>& winding)
    : arrangement_(arrangement), winding_(winding) {}

const coil::TurnSolution& CoilPlaces::turns(double frequency_hz) {
  if (!model_) model_ = coil::coil_model(*winding_);
  const auto known = turns_.find(frequency_hz);
  return known != turns_.end() ? known->second
                               : turns_.emplace(frequency_hz, coil::solve_turns(*model_, frequency_hz)).first->second;
}

TouchableCoil CoilPlaces::at(const ConditionResult& c) {
  const Setting& set = c.setting;
  const double f = c.evaluation.frequency_hz;
  const std::optional<std::size_t> last = last_of_coil(c);
  if (!last || station::describe_kind(arrangement_.kind).automatic) return {};
  Chain after;
  for (std::size_t n = *last + 1; n < c.ladder.elements.size(); ++n)
    after = network::cascade(after, network::chain(c.ladder.elements[n], f));
  if (!winding_) return {{behind(after, "the coil's end towards the antenna", 1.0, {}, {})}};

  const station::SwitchedCoil& coil = arrangement_.coil;
  const double used = std::max(*set.tap_turns, set.feed_turns.value_or(0.0)), all = coil::total_turns(*winding_);
  const bool dead = all - used > 1e-9, open_end = dead && set.unused == coil::Unused::open;
  std::vector<std::pair<std::string, double>> places{
      {fmt::format("the tap of \"{}\" at turn {:g}", coil.name, *set.tap_turns), *set.tap_turns}};
  if (set.feed_turns && *set.feed_turns != *set.tap_turns)
    places.emplace_back(fmt::format("the transmitter's tap of \"{}\" at turn {:g}", coil.name, *set.feed_turns),
                        *set.feed_turns);
  const std::size_t fed = places.size() - 1;  // the antenna's, where the transmitter has none of its own
  if (open_end) places.emplace_back(fmt::format("the open end of \"{}\"", coil.name), all);
  std::vector<coil::WirePlace> on_wire;
  for (const auto& [where, turn] : places) on_wire.push_back({0, turn});
  std::vector<coil::Strap> straps;
  if (dead && !open_end) straps.push_back({{0, used}, {0, all}, coil.switch_ohm});
  const coil::TurnSolution& solved = turns(f);
  const coil::SquareMatrix<cdouble> z =
      coil::place_impedance_ohm(*model_, solved, on_wire, coil::WirePlace{0, 0.0}, straps);

  const cdouble lead_ohm{coil.contact_ohm, two_pi * f * coil.lead_inductance_h};
  const cdouble trimmer_siemens =
      set.trimmer_f > 0.0
          ? 1.0 / network::impedance(network::Capacitor{set.trimmer_f, arrangement_.parts.stock.capacitor_loss}, f)
          : cdouble{};
  const Chain with_leads = network::cascade(network::series_chain(lead_ohm), after);
  TouchableCoil touchable;
  touchable.open_end = open_end;
  if (open_end) touchable.end_over_tap = std::abs(z(places.size() - 1, 0) / z(0, 0));
  for (std::size_t t = 0; t < places.size(); ++t) {
    const cdouble ratio = set.feed_turns ? z(t, fed) / z(0, fed) : 1.0, antenna_ohm = ratio * z(0, 0) - z(t, 0),
                  hand_ohm = ratio * z(0, t) - z(t, t);
    if (set.feed_turns) {  // the trimmer stands from the antenna's tap to ground
      touchable.places.push_back(
          behind(with_leads, places[t].first, ratio + antenna_ohm * trimmer_siemens, antenna_ohm, hand_ohm));
    } else {  // across the turns in use, from which it takes a part of their current
      const cdouble taken = 1.0 + trimmer_siemens * z(0, 0);
      touchable.places.push_back(behind(with_leads, places[t].first, ratio, antenna_ohm / taken,
                                        hand_ohm - antenna_ohm * trimmer_siemens * z(0, t) / taken));
    }
  }
  return touchable;
}

}  // namespace stile::plan::detail
