#include <stile/plan/detail/arrange.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/match/tolerance.hpp>

namespace stile::plan::detail {
namespace {

bool wanted(station::ArrangementKind kind, const network::Ladder& ladder) {
  if (kind == station::ArrangementKind::l_network || ladder.elements.empty())
    return true;                                          // empty: there is nothing to match
  const network::Element& last = ladder.elements.back();  // base coil: the series part at the whip is a coil
  return last.place == network::Place::series && std::holds_alternative<network::Inductor>(last.part);
}

/// A coil alone that tunes out the load's reactance: what is left when its resistance needs no step.
std::optional<network::Ladder> lone_coil(const match::PartStock& stock, double frequency_hz, cdouble z_load_ohm) {
  if (!(z_load_ohm.imag() < 0.0)) return std::nullopt;
  const double w = two_pi * frequency_hz, x = -z_load_ohm.imag();
  // With a capacitance across it the coil shows x_L/(1 - w C x_L).
  const double x_coil = x / (1.0 + w * stock.inductor_self_capacitance_f * x);
  return network::Ladder{{{"L1",
                           network::Place::series,
                           network::Inductor{x_coil / w, stock.inductor_loss, stock.inductor_self_capacitance_f},
                           {}}}};
}

/// Matches of the arrangement's kind for one load, with preferred values and ratings.
std::vector<network::Ladder> candidates(const station::Arrangement& arrangement, const network::Source& source,
                                        double frequency_hz, cdouble z_load_ohm) {
  const station::Parts& parts = arrangement.parts;
  match::MatchRequest request;
  request.form = match::Form::l;
  request.frequency_hz = frequency_hz;
  request.source = source;
  request.load = {"", "", load::ConstantLoad{z_load_ohm}, {}};
  request.stock = parts.stock;
  std::vector<network::Ladder> found;
  for (const match::MatchSolution& solution : match::solve_match(request)) {
    if (wanted(arrangement.kind, solution.ladder)) found.push_back(solution.ladder);
  }
  if (arrangement.kind == station::ArrangementKind::base_coil) {
    if (const auto coil = lone_coil(parts.stock, frequency_hz, z_load_ohm)) found.push_back(*coil);
  }
  for (network::Ladder& ladder : found) {
    if (parts.inductor_series || parts.capacitor_series) {
      ladder =
          match::snap_to_series(ladder, source, frequency_hz, z_load_ohm, parts.inductor_series, parts.capacitor_series)
              .ladder;
    }
    for (network::Element& element : ladder.elements) {
      element.rating =
          std::holds_alternative<network::Inductor>(element.part) ? parts.inductor_rating : parts.capacitor_rating;
    }
  }
  return found;
}

}  // namespace

cdouble corner_impedance(const load::Load& load, double frequency_hz, const Corner& corner) {
  return corner_impedance(load::load_impedance(load, frequency_hz), load::load_shares(load, frequency_hz), corner);
}

cdouble corner_impedance(cdouble z_ohm, const std::optional<load::PowerShares>& shares, const Corner& corner) {
  if (!shares) return z_ohm;
  return {z_ohm.real() * (1.0 + (corner.ground - 1.0) * shares->ground), z_ohm.imag()};
}

network::Loss corner_loss(network::Loss loss, const Corner& corner) {
  loss.q *= corner.q;
  return loss;
}

tuner::Tuner corner_tuner(tuner::Tuner tuner, const Corner& corner) {
  for (tuner::InductorArm* arm : {&tuner.inductors, &tuner.load_inductors}) {
    arm->loss = corner_loss(arm->loss, corner);
    for (network::Loss& loss : arm->losses) loss = corner_loss(loss, corner);
  }
  return tuner;
}

network::Ladder corner_ladder(network::Ladder ladder, const Corner& corner) {
  for (network::Element& element : ladder.elements) {
    if (auto* coil = std::get_if<network::Inductor>(&element.part)) coil->loss = corner_loss(coil->loss, corner);
  }
  return ladder;
}

network::Ladder whole_ladder(const station::Arrangement& arrangement, const std::vector<network::Element>& match) {
  network::Ladder whole;
  const auto add_cable = [&](const std::optional<station::NamedCable>& cable) {
    if (cable) whole.elements.push_back({"cable " + cable->name, network::Place::cascade, cable->line, {}});
  };
  add_cable(arrangement.cable_before);
  whole.elements.insert(whole.elements.end(), match.begin(), match.end());
  add_cable(arrangement.cable_after);
  return whole;
}

std::vector<network::Element> set_tuner(const station::Arrangement& arrangement, const tuner::TunerTable& table,
                                        const network::Source& source, double swr_limit, cdouble z_load_ohm) {
  const cdouble z = behind_cable(arrangement, table.frequency_hz, z_load_ohm);
  return tuner::tuner_elements(arrangement.tuner,
                               tuner::most_delivered_state(arrangement.tuner, table, source.z_ohm, z, swr_limit).state);
}

cdouble behind_cable(const station::Arrangement& arrangement, double frequency_hz, cdouble z_load_ohm) {
  if (!arrangement.cable_after) return z_load_ohm;
  const network::Chain line =
      network::chain({"", network::Place::cascade, arrangement.cable_after->line, {}}, frequency_hz);
  return network::input_impedance({&line, 1}, z_load_ohm);
}

Goals goals(const station::Arrangement& arrangement, const station::Antenna& antenna, const station::Band& band,
            const Corner& corner) {
  // A trimmed match serves only its own condition, for which one that is made for another may still lose less (or be
  // the only one).
  Goals g;
  cdouble mean = 0.0;
  const bool trimmed = arrangement.trim != station::Trim::once;
  for (const station::AntennaLoad& l : antenna.loads) {
    const cdouble z = corner_impedance(l.load, band.design_hz, corner);
    mean += z / static_cast<double>(antenna.loads.size());
    const bool designed_for = arrangement.design_condition.empty() || arrangement.design_condition == l.load.name;
    if (designed_for || trimmed) g.targets_ohm.push_back(z);
    if (designed_for || !trimmed) g.served.push_back(&l.load);
  }
  if (g.targets_ohm.size() > 1) g.targets_ohm.push_back(mean);
  return g;
}

MatchRank match_rank(const std::function<network::Ladder(double)>& whole_at, const station::Transmitter& transmitter,
                     const Goals& goals, const station::Band& band, const Corner& corner) {
  MatchRank rank{false, 0.0};
  for (const double f : {band.use_low_hz, band.design_hz, band.use_high_hz}) {
    const network::Ladder whole = whole_at(f);
    for (const load::Load* load : goals.served) {
      const network::Evaluation e = network::evaluate(whole, transmitter.source, f, corner_impedance(*load, f, corner));
      rank = {rank.first || e.swr > transmitter.swr_limit, std::max(rank.second, total_loss_db(transmitter, e))};
    }
  }
  return rank;
}

std::optional<std::vector<network::Element>> choose_fixed(station::Arrangement arrangement,
                                                          const station::Transmitter& transmitter,
                                                          const station::Antenna& antenna, const station::Band& band,
                                                          const Corner& corner) {
  arrangement.parts.stock.inductor_loss = corner_loss(arrangement.parts.stock.inductor_loss, corner);
  const Goals goal = goals(arrangement, antenna, band, corner);
  std::optional<std::vector<network::Element>> best;
  MatchRank best_rank{true, network::infinite};
  for (const cdouble& target : goal.targets_ohm) {
    for (const network::Ladder& match : candidates(arrangement, transmitter.source, band.design_hz,
                                                   behind_cable(arrangement, band.design_hz, target))) {
      const network::Ladder whole = whole_ladder(arrangement, match.elements);
      const MatchRank rank = match_rank([&](double) { return whole; }, transmitter, goal, band, corner);
      if (rank < best_rank) best_rank = rank, best = match.elements;
    }
  }
  return best;
}

double total_loss_db(const station::Transmitter& transmitter, const network::Evaluation& evaluation) {
  const double delivered =
      evaluation.power.delivered_w / evaluation.power.available_w * station::power_at_swr(transmitter, evaluation.swr);
  return delivered > 0.0 ? 10.0 * std::log10(transmitter.source.power_w / delivered) : network::infinite;
}

}  // namespace stile::plan::detail
