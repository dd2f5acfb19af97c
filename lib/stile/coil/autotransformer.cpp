#include <stile/coil/autotransformer.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::coil {

network::ImpedanceMatrix autotransformer(const CoilModel& model, const TurnSolution& turns,
                                         const AutotransformerTaps& taps) {
  require(model.winding.sections.size() == 1, "an autotransformer is wound as one section");
  const double all = total_turns(model.winding);
  for (const double place : {taps.feed_turns, taps.load_turns}) {
    if (!(place > 0.0 && place <= all))
      throw DomainError(fmt::format("a tap at {} turns: legal is above 0 to {}", place, all));
  }
  require(taps.switch_ohm >= 0.0 && std::isfinite(taps.switch_ohm),
          "the resistance of a switch must be >= 0 and finite");
  const double used = std::max(taps.feed_turns, taps.load_turns);
  std::vector<Strap> straps;
  if (taps.unused == Unused::shorted && all - used > 1e-9) straps.push_back({{0, used}, {0, all}, taps.switch_ohm});
  const SquareMatrix<cdouble> z =
      place_impedance_ohm(model, turns, {{0, taps.feed_turns}, {0, taps.load_turns}}, WirePlace{0, 0.0}, straps);
  return {z(0, 0), z(0, 1), z(1, 0), z(1, 1)};
}

std::vector<network::Element> two_port_elements(const std::string& label, const network::ImpedanceMatrix& z,
                                                double frequency_hz) {
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "a frequency must be > 0 and finite");
  const double r11 = z.z11.real(), r12 = z.z12.real(), r22 = z.z22.real();
  const double size = std::abs(z.z11) + std::abs(z.z22);
  require(std::abs(z.z12 - z.z21) <= 1e-9 * size, "the two-port is not reciprocal: z12 and z21 differ");
  require(r11 >= 0.0 && r22 >= 0.0 && std::abs(r12) <= std::sqrt(r11 * r22) + 1e-9 * size,
          "the two-port is not passive: legal are r11, r22 >= 0 and r12 within the root of their product");
  require(std::abs(z.z12) > 0.0, "nothing gets through the two-port: z12 must not be 0");
  const double size_ratio = r11 > 0.0 && r22 > 0.0 ? std::sqrt(r11 / r22) : 1.0;
  double n = r12 < 0.0 ? -size_ratio : size_ratio;
  const double x11 = z.z11.imag(), x12 = z.z12.imag(), x22 = z.z22.imag();
  if (r12 > 0.0 && x12 > 0.0) {  // ratios with which every part is a coil
    const double least = std::max(r12 / r22, x12 / x22), most = std::min(r11 / r12, x11 / x12);
    if (least > 0.0 && least <= most * (1.0 + 1e-12)) n = std::sqrt(least * most);
  }
  const double omega = two_pi * frequency_hz;
  const auto part = [&](cdouble value) -> network::Component {
    const double r = std::max(0.0, value.real()), x = value.imag();  // nothing below 0 by rounding
    if (!(x > 0.0)) return network::FixedImpedance{{r, x}};
    return network::Inductor{x / omega, {r > 0.0 ? x / r : network::infinite, frequency_hz, 0.0, 0.0}, 0.0};
  };
  return {{label + ", feed", network::Place::series, part(z.z11 - n * z.z12), {}},
          {label + ", common", network::Place::shunt, part(n * z.z12), {}},
          {label + ", ratio", network::Place::cascade, network::Transformer{n}, {}},
          {label + ", load", network::Place::series, part(z.z22 - z.z12 / n), {}}};
}

}  // namespace stile::coil
