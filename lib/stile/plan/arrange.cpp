#include <stile/plan/arrange.hpp>

#include <algorithm>
#include <cmath>

#include <stile/match/tolerance.hpp>

namespace stile::detail {
namespace {

/// The load as it is seen through the cable behind the match.
cdouble behind_cable(const Arrangement& arrangement, double frequency_hz, cdouble z_load_ohm) {
  if (!arrangement.cable_after) return z_load_ohm;
  const Chain line = chain({"", Place::cascade, arrangement.cable_after->line, {}}, frequency_hz);
  return input_impedance({&line, 1}, z_load_ohm);
}

bool wanted(ArrangementKind kind, const Ladder& ladder) {
  if (kind == ArrangementKind::l_network) return true;
  const Element& last = ladder.elements.back();          // base coil: the series part at the whip is a coil
  return last.place == Place::series && std::holds_alternative<Inductor>(last.part);
}

}  // namespace

cdouble corner_impedance(const Load& load, double frequency_hz, const Corner& corner) {
  const cdouble z = load_impedance(load, frequency_hz);
  const auto shares = load_shares(load, frequency_hz);
  if (!shares) return z;
  return {z.real() * (1.0 + (corner.ground - 1.0) * shares->ground), z.imag()};
}

Tuner corner_tuner(Tuner tuner, const Corner& corner) {
  tuner.inductors.loss.q *= corner.q;
  return tuner;
}

Ladder corner_ladder(Ladder ladder, const Corner& corner) {
  for (Element& element : ladder.elements) {
    if (auto* coil = std::get_if<Inductor>(&element.part)) coil->loss.q *= corner.q;
  }
  return ladder;
}

Ladder whole_ladder(const Arrangement& arrangement, const std::vector<Element>& match) {
  Ladder whole;
  const auto add_cable = [&](const std::optional<NamedCable>& cable) {
    if (cable) whole.elements.push_back({"cable " + cable->name, Place::cascade, cable->line, {}});
  };
  add_cable(arrangement.cable_before);
  whole.elements.insert(whole.elements.end(), match.begin(), match.end());
  add_cable(arrangement.cable_after);
  return whole;
}

std::vector<Element> set_tuner(const Arrangement& arrangement, const TunerTable& table, const Source& source,
                               double swr_limit, cdouble z_load_ohm) {
  const cdouble z = behind_cable(arrangement, table.frequency_hz, z_load_ohm);
  const TunerChoice choice = choose_state(arrangement.tuner, table, source.z_ohm, z, swr_limit);
  const TunerSetting& setting = choice.least_loss.status == TunerStatus::found ? choice.least_loss : choice.least_swr;
  return tuner_elements(arrangement.tuner, setting.state);
}

std::optional<std::vector<Element>> choose_fixed(const Arrangement& arrangement, const Transmitter& transmitter,
                                                 const std::vector<Condition>& conditions, double frequency_hz) {
  std::vector<cdouble> loads, targets;
  cdouble mean = 0.0;
  for (const Condition& condition : conditions) {
    loads.push_back(load_impedance(condition.load, frequency_hz));
    mean += loads.back() / static_cast<double>(conditions.size());
    if (arrangement.design_condition.empty() || arrangement.design_condition == condition.name) targets.push_back(loads.back());
  }
  if (arrangement.design_condition.empty() && loads.size() > 1) targets.push_back(mean);

  std::optional<std::vector<Element>> best;
  double best_loss = infinite;
  const Parts& parts = arrangement.parts;
  for (const cdouble& target : targets) {
    MatchRequest request;
    request.form = Form::l;
    request.frequency_hz = frequency_hz;
    request.source = transmitter.source;
    request.load = {"", "", ConstantLoad{behind_cable(arrangement, frequency_hz, target)}, {}};
    request.stock = parts.stock;
    for (MatchSolution& solution : solve_match(request)) {
      if (!wanted(arrangement.kind, solution.ladder)) continue;
      if (parts.inductor_series || parts.capacitor_series) {
        solution.ladder = snap_to_series(solution.ladder, transmitter.source, frequency_hz, load_impedance(request.load, frequency_hz),
                                         parts.inductor_series, parts.capacitor_series).ladder;
      }
      for (Element& element : solution.ladder.elements) {
        element.rating = std::holds_alternative<Inductor>(element.part) ? parts.inductor_rating : parts.capacitor_rating;
      }
      const Ladder whole = whole_ladder(arrangement, solution.ladder.elements);
      double worst = 0.0;
      for (const cdouble& load : loads) {
        worst = std::max(worst, total_loss_db(transmitter, evaluate(whole, transmitter.source, frequency_hz, load)));
      }
      if (worst < best_loss) best_loss = worst, best = solution.ladder.elements;
    }
  }
  return best;
}

double total_loss_db(const Transmitter& transmitter, const Evaluation& evaluation) {
  const double delivered = evaluation.power.delivered_w / evaluation.power.available_w * power_at_swr(transmitter, evaluation.swr);
  return delivered > 0.0 ? 10.0 * std::log10(transmitter.source.power_w / delivered) : infinite;
}

}  // namespace stile::detail
