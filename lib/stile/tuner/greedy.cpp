#include <stile/tuner/greedy.hpp>

#include <algorithm>
#include <bit>
#include <numeric>

#include <stile/tuner/detail/greedy_walk.hpp>

namespace stile::tuner {
namespace detail {
namespace {

Knob knob(std::uint32_t TunerState::*mask, const std::vector<double>& values) {
  Knob k{mask, std::vector<std::uint32_t>(std::size_t{1} << values.size()), {}};
  std::iota(k.rising.begin(), k.rising.end(), 0U);
  std::vector<double> sum(k.rising.size(), 0.0);
  for (std::size_t m = 1; m < sum.size(); ++m) {
    sum[m] = sum[m & (m - 1)] + values[static_cast<std::size_t>(std::countr_zero(m))];
  }
  std::stable_sort(k.rising.begin(), k.rising.end(), [&](std::uint32_t a, std::uint32_t b) { return sum[a] < sum[b]; });
  k.place.resize(k.rising.size());
  for (std::size_t n = 0; n < k.rising.size(); ++n) k.place[k.rising[n]] = n;
  return k;
}

}  // namespace

GreedyWalk::GreedyWalk(const Tuner& tuner, const TunerTable& table, cdouble z_source) : tuner_(tuner) {
  check_search(tuner, table, z_source);
  for (const CapacitorSide side : {CapacitorSide::transmitter, CapacitorSide::load}) {
    arms_.push_back(arms_of(tuner, table, side, z_source));
  }
  const auto add = [&](std::uint32_t TunerState::*mask, const std::vector<double>& values) {
    if (!values.empty()) knobs.push_back(knob(mask, values));
  };
  add(&TunerState::inductor_mask, tuner.inductors.values_h);
  add(&TunerState::capacitor_mask, tuner.capacitors.values_f);
  add(&TunerState::load_capacitor_mask, tuner.load_capacitors.values_f);
  add(&TunerState::load_inductor_mask, tuner.load_inductors.values_h);
  if (tuner.form != TunerForm::l || tuner.capacitor_at_transmitter) sides.push_back(CapacitorSide::transmitter);
  if (tuner.form == TunerForm::l && tuner.capacitor_at_load) sides.push_back(CapacitorSide::load);
}

/// Sets one arm to `mask` if that reads better.
bool GreedyWalk::try_setting(const LoadEnd& load, GreedyResult& result, const Knob& knob, std::uint32_t mask) const {
  TunerState other = result.state;
  other.*knob.mask = mask;
  if (other.*knob.mask == result.state.*knob.mask) return false;
  ++result.measurements;
  const double reading = swr(other, load);
  result.greatest_swr = std::max(result.greatest_swr, reading);
  if (!(reading < result.swr)) return false;
  result.state = other;
  result.swr = reading;
  return true;
}

GreedyResult GreedyWalk::from_bypass(cdouble z_load) const {
  const LoadEnd end = load(z_load);
  GreedyResult result;
  bool first = true;
  std::size_t readings = 0;
  double greatest_swr = 0.0;
  for (const CapacitorSide side : sides) {
    GreedyResult coarse;
    coarse.state.side = side;
    if (tuner_.form == TunerForm::t) {
      for (const Knob& knob : knobs) coarse.state.*knob.mask = knob.rising.back();
    }
    coarse.swr = swr(coarse.state, end);
    coarse.measurements = 1;
    coarse.greatest_swr = coarse.swr;
    for (bool better = true; better;) {
      better = false;
      for (const Knob& knob : knobs) {
        better = try_setting(end, coarse, knob, 0) || better;
        for (std::uint32_t part = 1; part < knob.rising.size(); part <<= 1U) {
          better = try_setting(end, coarse, knob, part) || better;
        }
        better = try_setting(end, coarse, knob, knob.rising.back()) || better;
      }
    }
    readings += coarse.measurements;
    greatest_swr = std::max(greatest_swr, coarse.greatest_swr);
    if (first || coarse.swr < result.swr) result = coarse;
    first = false;
  }
  result.measurements = readings;
  result.greatest_swr = greatest_swr;
  for (bool better = true; better;) {
    better = false;
    for (const Knob& knob : knobs) {
      for (const bool up : {true, false}) {
        for (bool moved = true; moved;) {
          const std::size_t place = knob.place[result.state.*knob.mask];
          if (up ? place + 1 == knob.rising.size() : place == 0) break;
          moved = try_setting(end, result, knob, knob.rising[up ? place + 1 : place - 1]);
          better = better || moved;
        }
      }
    }
  }
  return result;
}

std::uint64_t index_of(const Tuner& tuner, const TunerState& s) {
  const auto shifted = [](std::uint64_t index, std::size_t parts, std::uint32_t mask) { return index << parts | mask; };
  const std::size_t inductors = tuner.inductors.values_h.size(), capacitors = tuner.capacitors.values_f.size();
  const bool second_side =
      tuner.form == TunerForm::l && tuner.capacitor_at_transmitter && s.side == CapacitorSide::load;
  std::uint64_t index = second_side ? 1 : 0;
  if (tuner.form == TunerForm::lcl) {
    index = shifted(s.load_inductor_mask, inductors, s.inductor_mask);
    return shifted(index, capacitors, s.capacitor_mask);
  }
  index = shifted(index, tuner.load_capacitors.values_f.size(), s.load_capacitor_mask);
  index = shifted(index, capacitors, s.capacitor_mask);
  return shifted(index, inductors, s.inductor_mask);
}

}  // namespace detail

GreedyResult greedy_search(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, cdouble z_load_ohm,
                           double swr_limit) {
  const detail::GreedyWalk walk(tuner, table, z_source_ohm);
  detail::check_load(z_load_ohm);
  const TunerChoice best = choose_state(tuner, table, z_source_ohm, z_load_ohm, swr_limit);
  GreedyResult result = walk.from_bypass(z_load_ohm);
  result.dissipation_db = detail::dissipation_db_of(walk.ends(result.state, walk.load(z_load_ohm)), z_load_ohm.real());
  result.state = detail::decode_state(tuner, detail::index_of(tuner, result.state));
  result.true_least_swr = best.least_swr.status == TunerStatus::found ? best.least_swr.swr : network::infinite;
  result.status = result.swr <= swr_limit ? TunerStatus::found : TunerStatus::out_of_reach;
  result.false_minimum = result.status != TunerStatus::found && best.least_loss.status == TunerStatus::found;
  return result;
}

std::vector<LocalMinimum> local_minima(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm,
                                       cdouble z_load_ohm) {
  const detail::GreedyWalk walk(tuner, table, z_source_ohm);
  detail::check_load(z_load_ohm);
  const detail::LoadEnd load = walk.load(z_load_ohm);
  const std::uint64_t states = state_count(tuner);
  std::vector<double> swr(states);
  for (std::uint64_t index = 0; index < states; ++index)
    swr[index] = walk.swr(detail::decode_masks(tuner, index), load);
  std::vector<LocalMinimum> minima;
  for (std::uint64_t index = 0; index < states; ++index) {
    if (swr[index] == network::infinite) continue;
    const TunerState state = detail::decode_masks(tuner, index);
    const bool lowest = std::all_of(walk.knobs.begin(), walk.knobs.end(), [&](const detail::Knob& knob) {
      const std::size_t place = knob.place[state.*knob.mask];
      const auto not_lower = [&](std::size_t at) {
        TunerState other = state;
        other.*knob.mask = knob.rising[at];
        return !(swr[detail::index_of(tuner, other)] < swr[index]);
      };
      return (place == 0 || not_lower(place - 1)) && (place + 1 == knob.rising.size() || not_lower(place + 1));
    });
    if (lowest) minima.push_back({index, swr[index]});
  }
  std::stable_sort(minima.begin(), minima.end(),
                   [](const LocalMinimum& a, const LocalMinimum& b) { return a.swr < b.swr; });
  return minima;
}

}  // namespace stile::tuner
