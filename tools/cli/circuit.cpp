#include "cli/circuit.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/load/load_file.hpp>
#include <stile/network/sweep_ratings.hpp>

namespace stile::tools {

std::vector<Option> circuit_options() {
  return {{"--source", "Z", "impedance of the transmitter, ohm, real part > 0; default 50"},
          {"--power", "P", "power the transmitter can deliver into its conjugate, W, > 0; default 5W"},
          {"--load", "Z", "impedance of the load, ohm, real part >= 0, the same at every frequency: 12-230j"},
          reading({"--load-file", "FILE",
                   "load from a one-port Touchstone file (.s1p) or a table (.csv: frequency_hz,r_ohm,x_ohm); "
                   "- reads Touchstone from standard input"})};
}

network::Source read_source(const Arguments& arguments) {
  network::Source source;
  source.power_w = arguments.positive("--power", Unit::watt, 5.0);
  if (const auto text = arguments.text("--source")) {
    source.z_ohm = read_sized_impedance(*text, {"--source", 0, 1});
    if (source.z_ohm.real() <= 0.0)
      throw ParseError({"--source", 0, 1}, fmt::format("\"{}\": its real part must be > 0", *text));
  }
  return source;
}

load::Load read_load(const Arguments& arguments) {
  const auto text = arguments.text("--load"), file = arguments.text("--load-file");
  if (file) return load::load_from_file(*file);
  if (!text) throw UsageError("no load is given; legal: --load 12-230j or --load-file FILE.s1p");
  const cdouble z = read_sized_impedance(*text, {"--load", 0, 1});
  if (z.real() < 0.0) throw ParseError({"--load", 0, 1}, fmt::format("\"{}\": its real part must be >= 0", *text));
  return {"", "--load", load::ConstantLoad{z}, {}};
}

cdouble load_at(const load::Load& load, double frequency_hz, const std::string& option) {
  try {
    return load::load_impedance(load, frequency_hz);
  } catch (const DomainError& error) {
    throw ParseError({option, 0, 0}, error.what());
  }
}

double read_swr_limit(const Arguments& arguments) {
  const double limit = arguments.quantity("--swr", Unit::one).value_or(2.0);
  if (limit <= 1.0) throw ParseError({"--swr", 0, 1}, fmt::format("\"{}\": must be > 1", *arguments.text("--swr")));
  return limit;
}

std::string impedance_text(cdouble z_ohm, int digits) {
  constexpr double rounding = 1e-9;  // what is left of a reactance that is none
  return std::abs(z_ohm.imag()) <= rounding * z_ohm.real() ? print_quantity(z_ohm.real(), Unit::ohm, digits)
                                                           : print_impedance(z_ohm, digits) + " ohm";
}

std::string stated_frequency(double frequency_hz) {
  return print_quantity(frequency_hz, Unit::hertz, 12);  // what follows is rounding of the binary number
}

std::string load_text(const load::Load& load) {
  if (const auto* constant = std::get_if<load::ConstantLoad>(&load.model)) return impedance_text(constant->z_ohm);
  return load.origin.empty() ? load.name : load.origin;
}

std::vector<safety::Caution> cautions_of(const std::vector<network::Evaluation>& evaluations) {
  safety::CautionCase facts;
  for (const network::Evaluation& e : evaluations) {
    facts.power_w = std::max(facts.power_w, e.power.available_w);
    if (facts.frequency_hz == 0.0 || e.frequency_hz < facts.frequency_hz) facts.frequency_hz = e.frequency_hz;
  }
  if (evaluations.empty()) return safety::cautions(facts);
  const network::SweepValue highest = network::highest_load_voltage_v_peak(evaluations);
  facts.load_voltage_v_peak = highest.value;
  if (highest.value > 0.0) facts.load_voltage_where = print_quantity(highest.frequency_hz, Unit::hertz, 6);
  return safety::cautions(facts);
}

}  // namespace stile::tools
