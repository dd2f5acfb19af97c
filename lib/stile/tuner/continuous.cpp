#include <stile/tuner/continuous.hpp>

#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/tuner/detail/continuous_model.hpp>

namespace stile::tuner {
namespace {

void check(bool legal, const std::string& field, double value, const char* range) {
  if (!legal) throw DomainError(fmt::format("{} is {} and must be {}", field, value, range));
}

void check(const VariableInductor& part, const std::string& name) {
  network::check_loss(part.loss, false, name + ".loss");
  for (const double h : part.taps_h) check(h >= 0.0 && std::isfinite(h), name + ".taps_h", h, ">= 0 and finite");
  if (!part.taps_h.empty()) return;
  check(part.range_h.low >= 0.0 && std::isfinite(part.range_h.low), name + ".range_h.low", part.range_h.low,
        ">= 0 and finite");
  check(part.range_h.high >= part.range_h.low && std::isfinite(part.range_h.high) && part.range_h.high > 0.0,
        name + ".range_h.high", part.range_h.high, "> 0, at least range_h.low and finite");
}

void check(const VariableCapacitor& part, const std::string& name, bool in_series) {
  network::check_loss(part.loss, true, name + ".loss");
  check(part.range_f.low >= 0.0 && std::isfinite(part.range_f.low), name + ".range_f.low", part.range_f.low,
        ">= 0 and finite");
  check(part.range_f.low > 0.0 || !in_series, name + ".range_f.low", part.range_f.low, "> 0 in series");
  check(part.range_f.high >= part.range_f.low && std::isfinite(part.range_f.high) && part.range_f.high > 0.0,
        name + ".range_f.high", part.range_f.high, "> 0, at least range_f.low and finite");
}

void check_source(cdouble z_source) {
  require(network::finite(z_source) && z_source.real() > 0.0, "z_source_ohm must be finite with real part > 0");
}

void check_frequency(double f) { check(f > 0.0 && std::isfinite(f), "frequency_hz", f, "> 0 and finite"); }

bool within(double value, double low, double high) {
  const double room = 1e-9 * high;
  return value >= low - room && value <= high + room;
}

bool within(const VariableInductor& part, double value) {
  if (part.taps_h.empty()) return within(value, part.range_h.low, part.range_h.high);
  for (const double h : part.taps_h) {
    if (within(value, h, h)) return true;
  }
  return false;
}

void check_setting(const ContinuousTuner& t, const ContinuousSetting& s) {
  check(within(t.inductor, s.inductance_h), "inductance_h", s.inductance_h, "within the tuner's limits");
  check(within(s.capacitance_f, t.capacitor.range_f.low, t.capacitor.range_f.high), "capacitance_f", s.capacitance_f,
        "within the tuner's limits");
  if (t.form == TunerForm::t || t.form == TunerForm::pi_network) {
    const double shared = t.capacitor.range_f.low + t.capacitor.range_f.high;
    check(t.differential ? within(s.load_capacitance_f, shared - s.capacitance_f, shared - s.capacitance_f)
                         : within(s.load_capacitance_f, t.load_capacitor.range_f.low, t.load_capacitor.range_f.high),
          "load_capacitance_f", s.load_capacitance_f, "within the tuner's limits");
  }
  if (t.form == TunerForm::lcl) {
    check(within(t.load_inductor, s.load_inductance_h), "load_inductance_h", s.load_inductance_h,
          "within the tuner's limits");
  }
  if (t.form == TunerForm::l) {
    require(s.side == CapacitorSide::transmitter ? t.capacitor_at_transmitter : t.capacitor_at_load,
            "side is one to which the capacitor of this L cannot be switched");
  }
}

}  // namespace

void check(const ContinuousTuner& tuner) {
  const bool t = tuner.form == TunerForm::t;
  check(tuner.inductor, "inductor");
  check(tuner.capacitor, "capacitor", t);
  require(t || !tuner.differential, "differential must be false: only a T has a differential capacitor");
  switch (tuner.form) {
  case TunerForm::l:
    require(tuner.capacitor_at_transmitter || tuner.capacitor_at_load,
            "capacitor_at_transmitter and capacitor_at_load are both false and an L needs one of them true");
    return;
  case TunerForm::t:
  case TunerForm::pi_network:
    if (!tuner.differential) check(tuner.load_capacitor, "load_capacitor", t);
    return;
  case TunerForm::lcl:
    check(tuner.load_inductor, "load_inductor");
    return;
  }
  throw DomainError(fmt::format("form is {} and must be l, t, pi or lcl", static_cast<int>(tuner.form)));
}

std::vector<network::Element> tuner_elements(const ContinuousTuner& tuner, const ContinuousSetting& s) {
  check(tuner);
  check_setting(tuner, s);
  std::vector<network::Element> elements;
  const auto inductor = [&](const char* label, const VariableInductor& part, double value, network::Place place) {
    if (value == 0.0 && part.loss.series_ohm == 0.0) {
      require(place == network::Place::series,
              "in this T nothing could pass the short circuit that the inductor makes");
      return;
    }
    elements.push_back({label, place, network::Inductor{value, part.loss, 0.0}, part.rating});
  };
  const auto capacitor = [&](const char* label, const VariableCapacitor& part, double value, network::Place place) {
    if (value > 0.0) elements.push_back({label, place, network::Capacitor{value, part.loss}, part.rating});
  };
  switch (tuner.form) {
  case TunerForm::l:
    if (s.side == CapacitorSide::transmitter)
      capacitor("capacitor", tuner.capacitor, s.capacitance_f, network::Place::shunt);
    inductor("inductor", tuner.inductor, s.inductance_h, network::Place::series);
    if (s.side == CapacitorSide::load) capacitor("capacitor", tuner.capacitor, s.capacitance_f, network::Place::shunt);
    break;
  case TunerForm::t:
  case TunerForm::pi_network: {
    const bool t = tuner.form == TunerForm::t;
    const network::Place ends = t ? network::Place::series : network::Place::shunt;
    capacitor("capacitor at the transmitter", tuner.capacitor, s.capacitance_f, ends);
    inductor("inductor", tuner.inductor, s.inductance_h, t ? network::Place::shunt : network::Place::series);
    capacitor("capacitor at the load", tuner.differential ? tuner.capacitor : tuner.load_capacitor,
              s.load_capacitance_f, ends);
    break;
  }
  case TunerForm::lcl:
    inductor("inductor at the transmitter", tuner.inductor, s.inductance_h, network::Place::series);
    capacitor("capacitor", tuner.capacitor, s.capacitance_f, network::Place::shunt);
    inductor("inductor at the load", tuner.load_inductor, s.load_inductance_h, network::Place::series);
    break;
  }
  return elements;
}

cdouble matched_load(const ContinuousTuner& tuner, const ContinuousSetting& setting, double frequency_hz,
                     cdouble z_source_ohm) {
  check_frequency(frequency_hz);
  check_source(z_source_ohm);
  std::vector<network::Chain> parts;
  for (const network::Element& element : tuner_elements(tuner, setting))
    parts.push_back(network::chain(element, frequency_hz));
  return network::far_end_impedance(parts, std::conj(z_source_ohm));
}

ContinuousMatch match_continuous(const ContinuousTuner& tuner, double frequency_hz, cdouble z_source_ohm,
                                 cdouble z_load_ohm) {
  check(tuner);
  check_frequency(frequency_hz);
  check_source(z_source_ohm);
  require(network::finite(z_load_ohm) && z_load_ohm.real() > 0.0, "z_load_ohm must be finite with real part > 0");
  return detail::best_match(detail::models(tuner, frequency_hz, z_source_ohm), z_load_ohm);
}

}  // namespace stile::tuner
