#include <stile/tuner/greedy.hpp>

#include <algorithm>
#include <bit>
#include <cmath>
#include <numeric>

#include <stile/tuner/detail/arms.hpp>

namespace stile {
namespace {

/// One arm of relays: its settings in the order of their values.
struct Knob {
  std::uint32_t TunerState::*mask;
  std::vector<std::uint32_t> rising;  // masks
  std::vector<std::size_t> place;     // of a mask in `rising`
};

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

/// A tuner with its load, read as its own meter does.
class Bench {
public:
  Bench(const Tuner& tuner, const TunerTable& table, cdouble z_source, cdouble z_load)
      : tuner_(tuner), z_load_(z_load) {
    for (const CapacitorSide side : {CapacitorSide::transmitter, CapacitorSide::load}) {
      arms_.push_back(detail::arms_of(tuner, table, side, z_source));
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

  detail::Ends ends(const TunerState& s) const {
    const detail::Arms& arms = arms_[s.side == CapacitorSide::load ? 1 : 0];
    const detail::ArmIndex at = detail::arm_index(tuner_, s);
    return detail::walk(detail::enter(detail::load_end(z_load_, arms.dual), arms.far[at.far]),
                        arms.middle_re[at.middle], arms.middle_im[at.middle], arms.near[at.near].real(),
                        arms.near[at.near].imag(), arms.source.real(), arms.source.imag());
  }

  /// Infinite where nothing passes.
  double swr(const TunerState& s) const {
    const double value = detail::swr_of(ends(s), arms_[0].source.real());
    return std::isnan(value) ? infinite : value;
  }

  double dissipation_db(const TunerState& s) const { return detail::dissipation_db_of(ends(s), z_load_.real()); }

  std::vector<Knob> knobs;
  std::vector<CapacitorSide> sides;

private:
  const Tuner& tuner_;
  cdouble z_load_;
  std::vector<detail::Arms> arms_;
};

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

/// Sets one arm to `mask` if that reads better.
bool try_setting(const Bench& bench, TunerState& state, double& swr, std::size_t& readings, const Knob& knob,
                 std::uint32_t mask) {
  TunerState other = state;
  other.*knob.mask = mask;
  if (other.*knob.mask == state.*knob.mask) return false;
  ++readings;
  const double reading = bench.swr(other);
  if (!(reading < swr)) return false;
  state = other;
  swr = reading;
  return true;
}

void check(const Tuner& tuner, const TunerTable& table, cdouble z_source, cdouble z_load) {
  detail::check_search(tuner, table, z_source);
  detail::check_load(z_load);
}

}  // namespace

GreedyResult greedy_search(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, cdouble z_load_ohm,
                           double swr_limit) {
  check(tuner, table, z_source_ohm, z_load_ohm);
  const TunerChoice best = choose_state(tuner, table, z_source_ohm, z_load_ohm, swr_limit);
  const Bench bench(tuner, table, z_source_ohm, z_load_ohm);
  GreedyResult result;
  result.swr = infinite;
  bool first = true;
  for (const CapacitorSide side : bench.sides) {
    TunerState state;
    state.side = side;
    if (tuner.form == TunerForm::t) {
      for (const Knob& knob : bench.knobs) state.*knob.mask = knob.rising.back();
    }
    double swr = bench.swr(state);
    ++result.measurements;
    for (bool better = true; better;) {
      better = false;
      for (const Knob& knob : bench.knobs) {
        better = try_setting(bench, state, swr, result.measurements, knob, 0) || better;
        for (std::uint32_t part = 1; part < knob.rising.size(); part <<= 1U) {
          better = try_setting(bench, state, swr, result.measurements, knob, part) || better;
        }
        better = try_setting(bench, state, swr, result.measurements, knob, knob.rising.back()) || better;
      }
    }
    if (first || swr < result.swr) {
      result.state = state;
      result.swr = swr;
    }
    first = false;
  }
  for (bool better = true; better;) {
    better = false;
    for (const Knob& knob : bench.knobs) {
      for (const bool up : {true, false}) {
        for (bool moved = true; moved;) {
          const std::size_t place = knob.place[result.state.*knob.mask];
          if (up ? place + 1 == knob.rising.size() : place == 0) break;
          moved = try_setting(bench, result.state, result.swr, result.measurements, knob,
                              knob.rising[up ? place + 1 : place - 1]);
          better = better || moved;
        }
      }
    }
  }
  result.state = detail::decode_state(tuner, index_of(tuner, result.state));
  result.dissipation_db = bench.dissipation_db(result.state);
  result.true_least_swr = best.least_swr.status == TunerStatus::found ? best.least_swr.swr : infinite;
  result.status = result.swr <= swr_limit ? TunerStatus::found : TunerStatus::out_of_reach;
  result.false_minimum = result.status != TunerStatus::found && best.least_loss.status == TunerStatus::found;
  return result;
}

std::vector<LocalMinimum> local_minima(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm,
                                       cdouble z_load_ohm) {
  check(tuner, table, z_source_ohm, z_load_ohm);
  const Bench bench(tuner, table, z_source_ohm, z_load_ohm);
  const std::uint64_t states = state_count(tuner);
  std::vector<double> swr(states);
  for (std::uint64_t index = 0; index < states; ++index) swr[index] = bench.swr(detail::decode_state(tuner, index));
  std::vector<LocalMinimum> minima;
  for (std::uint64_t index = 0; index < states; ++index) {
    if (swr[index] == infinite) continue;
    const TunerState state = detail::decode_state(tuner, index);
    const bool lowest = std::all_of(bench.knobs.begin(), bench.knobs.end(), [&](const Knob& knob) {
      const std::size_t place = knob.place[state.*knob.mask];
      const auto not_lower = [&](std::size_t at) {
        TunerState other = state;
        other.*knob.mask = knob.rising[at];
        return !(swr[index_of(tuner, other)] < swr[index]);
      };
      return (place == 0 || not_lower(place - 1)) && (place + 1 == knob.rising.size() || not_lower(place + 1));
    });
    if (lowest) minima.push_back({index, swr[index]});
  }
  std::stable_sort(minima.begin(), minima.end(),
                   [](const LocalMinimum& a, const LocalMinimum& b) { return a.swr < b.swr; });
  return minima;
}

}  // namespace stile
