#include <stile/network/element.hpp>

#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/detail/overloaded.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/detail/branch.hpp>

namespace stile::network {
namespace {

void check_frequency(double frequency_hz) {
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "a frequency must be > 0 and finite");
}

double total(const InductorBank& bank) {
  double sum = 0.0;
  for (const Inductor& part : bank.parts) sum += part.inductance_h;
  return sum;
}

double total(const CapacitorBank& bank) {
  double sum = 0.0;
  for (const Capacitor& part : bank.parts) sum += part.capacitance_f;
  return sum;
}

}  // namespace

void check_loss(const Loss& loss, bool of_capacitor, std::string_view name) {
  const auto check = [&](bool legal, const char* member, double value, const char* range) {
    if (!legal) throw DomainError(fmt::format("{}.{} is {} and must be {}", name, member, value, range));
  };
  const auto check_not_negative = [&](const char* member, double value) {
    check(value >= 0.0 && std::isfinite(value), member, value, ">= 0 and finite");
  };
  check(loss.q > 0.0, "q", loss.q, "> 0");  // nan fails as well
  check_not_negative("q_at_hz", loss.q_at_hz);
  check_not_negative("series_ohm", loss.series_ohm);
  check_not_negative("loss_tangent", loss.loss_tangent);
  check(of_capacitor || loss.loss_tangent == 0.0, "loss_tangent", loss.loss_tangent, "0: only capacitors have one");
}

cdouble impedance(const Component& part, double frequency_hz) {
  check_frequency(frequency_hz);
  if (const auto branch = detail::single_branch(part)) return detail::impedance(*branch, frequency_hz);
  const auto* bank = std::get_if<CapacitorBank>(&part);
  require(bank != nullptr, "a transformer or line has no impedance of its own");
  cdouble y = 0.0;
  for (const detail::Branch& branch : detail::branches(*bank)) y += 1.0 / detail::impedance(branch, frequency_hz);
  return 1.0 / y;
}

Chain chain(const Element& element, double frequency_hz) {
  check_frequency(frequency_hz);
  detail::check_two_port(element.part);
  if (const auto* transformer = std::get_if<Transformer>(&element.part)) {
    return ideal_transformer_chain(transformer->turns_ratio);
  }
  if (const auto* line = std::get_if<TransmissionLine>(&element.part)) {
    return line_chain(line_constants(*line, frequency_hz), line->length_m);
  }
  const cdouble z = impedance(element.part, frequency_hz);
  if (element.place == Place::series) return series_chain(z);
  require(element.place == Place::shunt, "a two-terminal part stands in series or in shunt");
  require(z != 0.0, "a shunt part must not be a short circuit");
  return shunt_chain(1.0 / z);
}

LineConstants line_constants(const TransmissionLine& line, double frequency_hz) {
  return std::visit(Overloaded{[&](const Rlgc& c) { return line_from_rlgc(c, frequency_hz); },
                               [&](const Cable& c) { return line_from_cable(c, frequency_hz); }},
                    line.per_metre);
}

double self_capacitance_from_resonance(double inductance_h, double self_resonance_hz) {
  require(inductance_h > 0.0 && std::isfinite(inductance_h), "the inductance of a resonant coil must be > 0");
  require(self_resonance_hz > 0.0 && std::isfinite(self_resonance_hz), "a self-resonance must be > 0");
  const double w = two_pi * self_resonance_hz;
  return 1.0 / (w * w * inductance_h);
}

std::vector<Element> transformer_elements(double turns_ratio, double leakage_h, double magnetising_h, Loss core_loss) {
  require(leakage_h >= 0.0 && std::isfinite(leakage_h), "a leakage inductance must be >= 0 and finite");
  require(magnetising_h > 0.0, "a magnetising inductance must be > 0");
  std::vector<Element> elements;
  if (leakage_h > 0.0) elements.push_back({"leakage", Place::series, Inductor{leakage_h}, {}});
  if (std::isfinite(magnetising_h)) {
    elements.push_back({"magnetising", Place::shunt, Inductor{magnetising_h, core_loss}, {}});
  }
  elements.push_back({"ratio", Place::cascade, Transformer{turns_ratio}, {}});
  return elements;
}

Component scaled(const Component& part, double factor) {
  require(factor > 0.0 && std::isfinite(factor), "a scale factor must be > 0 and finite");
  Component copy = part;
  std::visit(
      Overloaded{[&](Resistor& p) { p.resistance_ohm *= factor; }, [&](Inductor& p) { p.inductance_h *= factor; },
                 [&](Capacitor& p) { p.capacitance_f *= factor; }, [&](FixedImpedance& p) { p.z_ohm *= factor; },
                 [&](InductorBank& p) {
                   for (Inductor& i : p.parts) i.inductance_h *= factor;
                 },
                 [&](CapacitorBank& p) {
                   for (Capacitor& c : p.parts) c.capacitance_f *= factor;
                 },
                 [&](Transformer& p) { p.turns_ratio *= factor; }, [&](TransmissionLine& p) { p.length_m *= factor; }},
      copy);
  return copy;
}

std::string kind_name(const Component& part) {
  return std::visit(
      Overloaded{[](const Resistor&) { return "resistor"; }, [](const Inductor&) { return "inductor"; },
                 [](const Capacitor&) { return "capacitor"; }, [](const FixedImpedance&) { return "impedance"; },
                 [](const InductorBank&) { return "inductor bank"; },
                 [](const CapacitorBank&) { return "capacitor bank"; },
                 [](const Transformer&) { return "transformer"; }, [](const TransmissionLine&) { return "line"; }},
      part);
}

std::string place_name(Place place) {
  switch (place) {
  case Place::series:
    return "series";
  case Place::shunt:
    return "shunt";
  case Place::cascade:
    break;
  }
  return "cascade";
}

std::string value_text(const Component& part, int digits) {
  return std::visit(Overloaded{[&](const Resistor& p) { return print_quantity(p.resistance_ohm, Unit::ohm, digits); },
                               [&](const Inductor& p) { return print_quantity(p.inductance_h, Unit::henry, digits); },
                               [&](const Capacitor& p) { return print_quantity(p.capacitance_f, Unit::farad, digits); },
                               [&](const FixedImpedance& p) { return print_impedance(p.z_ohm, digits) + " ohm"; },
                               [&](const InductorBank& p) { return print_quantity(total(p), Unit::henry, digits); },
                               [&](const CapacitorBank& p) { return print_quantity(total(p), Unit::farad, digits); },
                               [&](const Transformer& p) { return fmt::format("{:.{}g}:1", p.turns_ratio, digits); },
                               [&](const TransmissionLine& p) {
                                 const std::string length = print_quantity(p.length_m, Unit::metre, digits);
                                 const auto* cable = std::get_if<Cable>(&p.per_metre);
                                 return cable ? length + " of " + cable->name : length;
                               }},
                    part);
}

double value_si(const Component& part) {
  return std::visit(
      Overloaded{
          [](const Resistor& p) { return p.resistance_ohm; }, [](const Inductor& p) { return p.inductance_h; },
          [](const Capacitor& p) { return p.capacitance_f; }, [](const FixedImpedance& p) { return std::abs(p.z_ohm); },
          [](const InductorBank& p) { return total(p); }, [](const CapacitorBank& p) { return total(p); },
          [](const Transformer& p) { return p.turns_ratio; }, [](const TransmissionLine& p) { return p.length_m; }},
      part);
}

}  // namespace stile::network
