#include <stile/tuner/sizing.hpp>

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/tuner/detail/arms.hpp>

namespace stile::tuner {
namespace {

void check(bool legal, const char* field, double value, const char* range) {
  if (!legal) throw DomainError(fmt::format("{} is {} and must be {}", field, value, range));
}

std::vector<double> binary(double step, std::size_t bits) {
  std::vector<double> values;
  for (std::size_t n = 1; n <= bits; ++n) values.push_back(largest_part(step, n));
  return values;
}

Tuner filled(const Tuner& frame, const Sizing& size) {
  Tuner t = frame;
  t.inductors.values_h = binary(size.step_h, size.inductor_bits);
  t.capacitors.values_f = binary(size.step_f, size.capacitor_bits);
  t.load_capacitors.values_f.clear();
  t.load_inductors.values_h.clear();
  if (frame.form == TunerForm::t || frame.form == TunerForm::pi_network)
    t.load_capacitors.values_f = t.capacitors.values_f;
  if (frame.form == TunerForm::lcl) t.load_inductors.values_h = t.inductors.values_h;
  return t;
}

std::size_t relays(const Tuner& t) {
  const bool switched_side = t.form == TunerForm::l && t.capacitor_at_transmitter && t.capacitor_at_load;
  return t.inductors.values_h.size() + t.load_inductors.values_h.size() + t.capacitors.values_f.size() +
         t.load_capacitors.values_f.size() + (switched_side ? 1 : 0);
}

std::vector<double> trial_steps(double least, double most, std::size_t count) {
  std::vector<double> steps;
  for (std::size_t n = 0; n < count; ++n) {
    const double part = count == 1 ? 0.0 : static_cast<double>(n) / static_cast<double>(count - 1);
    steps.push_back(least * std::pow(most / least, part));
  }
  return steps;
}

void check(const SizingRequest& request, cdouble z_source, std::span<const SizingLoad> loads) {
  require(!loads.empty(), "sizing needs at least one load");
  check(request.swr_limit >= 1.0 && std::isfinite(request.swr_limit), "swr_limit", request.swr_limit,
        ">= 1 and finite");
  const std::size_t most_bits = most_sizing_bits(request.frame.form);
  if (request.most_bits < 1 || request.most_bits > most_bits)
    throw DomainError(
        fmt::format("most_bits is {} and must be 1 to {} for a tuner of this form", request.most_bits, most_bits));
  check(request.steps >= 1 && request.steps <= 100, "steps", static_cast<double>(request.steps), "1 to 100");
  check(request.steps_h.low > 0.0 && std::isfinite(request.steps_h.low), "steps_h.low", request.steps_h.low,
        "> 0 and finite");
  check(request.steps_h.high >= request.steps_h.low && std::isfinite(request.steps_h.high), "steps_h.high",
        request.steps_h.high, ">= steps_h.low and finite");
  check(request.steps_f.low > 0.0 && std::isfinite(request.steps_f.low), "steps_f.low", request.steps_f.low,
        "> 0 and finite");
  check(request.steps_f.high >= request.steps_f.low && std::isfinite(request.steps_f.high), "steps_f.high",
        request.steps_f.high, ">= steps_f.low and finite");
  const Tuner largest =
      filled(request.frame, {0, request.most_bits, request.most_bits, request.steps_h.low, request.steps_f.low, 0.0});
  for (const SizingLoad& load : loads) {
    detail::check_search(largest, tabulate(largest, load.frequency_hz), z_source);
    detail::check_load(load.z_ohm);
  }
}

/// Worst over the loads of the least SWR; ends early above `enough`.
double worst_swr(const Tuner& tuner, cdouble z_source, std::span<const SizingLoad> loads, double enough) {
  std::map<double, TunerTable> tables;
  double worst = 1.0;
  for (const SizingLoad& load : loads) {
    auto table = tables.find(load.frequency_hz);
    if (table == tables.end()) table = tables.emplace(load.frequency_hz, tabulate(tuner, load.frequency_hz)).first;
    const TunerSetting best = choose_state(tuner, table->second, z_source, load.z_ohm, 1.0).least_swr;
    worst = std::max(worst, best.status == TunerStatus::found ? best.swr : network::infinite);
    if (worst > enough) break;
  }
  return worst;
}

}  // namespace

std::size_t most_sizing_bits(TunerForm form) { return form == TunerForm::l ? 10 : 8; }

double largest_part(double step, std::size_t bits) { return std::ldexp(step, static_cast<int>(bits) - 1); }

SizingResult size_banks(const SizingRequest& request, cdouble z_source_ohm, std::span<const SizingLoad> loads) {
  check(request, z_source_ohm, loads);
  std::map<std::size_t, Sizing> best;  // by relays
  for (std::size_t inductors = 1; inductors <= request.most_bits; ++inductors) {
    for (std::size_t capacitors = 1; capacitors <= request.most_bits; ++capacitors) {
      for (const double step_h : trial_steps(request.steps_h.low, request.steps_h.high, request.steps)) {
        for (const double step_f : trial_steps(request.steps_f.low, request.steps_f.high, request.steps)) {
          Sizing candidate{0, inductors, capacitors, step_h, step_f, network::infinite};
          const Tuner tuner = filled(request.frame, candidate);
          candidate.relays = relays(tuner);
          const auto found = best.try_emplace(candidate.relays, candidate).first;
          candidate.worst_swr = worst_swr(tuner, z_source_ohm, loads, found->second.worst_swr);
          if (candidate.worst_swr < found->second.worst_swr) found->second = candidate;
        }
      }
    }
  }
  SizingResult result;
  result.status = TunerStatus::out_of_reach;
  for (const auto& [count, sizing] : best) {
    result.trade_off.push_back(sizing);
    if (result.status == TunerStatus::found || sizing.worst_swr > request.swr_limit) continue;
    result.status = TunerStatus::found;
    result.fewest = sizing;
  }
  return result;
}

}  // namespace stile::tuner
