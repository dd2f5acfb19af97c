#include <stile/network/sweep_ratings.hpp>

#include <algorithm>
#include <map>

#include <stile/base/errors.hpp>
#include <stile/network/one_port.hpp>

namespace stile::network {
namespace {

template <class ValueOf>
SweepValue highest(std::span<const Evaluation> points, ValueOf value_of) {
  require(!points.empty(), "the worst of a sweep needs a point");
  const auto most = std::max_element(points.begin(), points.end(), [&](const Evaluation& a, const Evaluation& b) {
    return value_of(a) < value_of(b);
  });
  return {value_of(*most), most->frequency_hz};
}

}  // namespace

std::vector<SweepOverload> sweep_overloads(const Ladder& ladder, std::span<const Evaluation> points) {
  std::map<std::size_t, SweepOverload> worst;
  for (const Evaluation& e : points) {
    for (const Overload& o : overloads(ladder, e)) {
      SweepOverload& known = worst[o.element];
      if (o.factor > known.overload.factor) known = {e.frequency_hz, o};
    }
  }
  std::vector<SweepOverload> all;
  all.reserve(worst.size());
  for (const auto& [element, broken] : worst) all.push_back(broken);
  std::stable_sort(all.begin(), all.end(), [](const SweepOverload& a, const SweepOverload& b) {
    return a.overload.factor > b.overload.factor;
  });
  return all;
}

std::vector<HighestStress> highest_stresses(std::span<const Evaluation> points) {
  require(!points.empty(), "the worst of a sweep needs a point");
  const std::size_t elements = points.front().elements.size();
  require(std::all_of(points.begin(), points.end(), [&](const Evaluation& e) { return e.elements.size() == elements; }),
          "the points belong to different ladders");
  std::vector<HighestStress> all;
  all.reserve(elements);
  for (std::size_t n = 0; n < elements; ++n) {
    const auto of = [&](double Stress::*member) {
      return highest(points, [&](const Evaluation& e) { return e.elements[n].*member; });
    };
    all.push_back({of(&Stress::current_a_rms), of(&Stress::voltage_v_peak), of(&Stress::dissipation_w)});
  }
  return all;
}

SweepValue highest_swr(std::span<const Evaluation> points) {
  return highest(points, [](const Evaluation& e) { return e.swr; });
}

SweepValue highest_load_voltage_v_peak(std::span<const Evaluation> points) {
  return highest(points, [](const Evaluation& e) { return load_voltage_v_peak(e); });
}

Stress highest_stress(const Evaluation& evaluation) {
  Stress most;
  for (const Stress& s : evaluation.elements) {
    for (double Stress::*member : {&Stress::current_a_rms, &Stress::voltage_v_peak, &Stress::dissipation_w,
                                   &Stress::magnetic_energy_j, &Stress::electric_energy_j}) {
      most.*member = std::max(most.*member, s.*member);
    }
  }
  return most;
}

}  // namespace stile::network
