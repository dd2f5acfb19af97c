#include <stile/energy/operating.hpp>

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/safety/duty.hpp>

namespace stile::energy {
namespace {

void require_within(const char* what, double value, double low, double high) {
  if (!(value >= low && value <= high))
    throw DomainError(fmt::format("{} must be {:.4g} to {:.4g}, not {:.4g}", what, low, high, value));
}

void require_not_negative(const char* what, double value) {
  if (!(std::isfinite(value) && value >= 0.0))
    throw DomainError(fmt::format("{} must be finite and >= 0, not {:.4g}", what, value));
}

std::vector<Draw> draws_of(const SetDraw& set, const TunerDraw& tuner, double factor) {
  const double tuning = tuner.tunes_per_h * tuner.tune_time_s / 3600.0;
  const double talk = set.talk_share * (1.0 - tuning);
  return {{set.receive_a + tuner.hold_a, 1.0 - tuning - talk},
          {factor * set.transmit_a + tuner.hold_a, talk},
          {tuner.carrier_share * set.transmit_a + tuner.hold_a + tuner.tune_a, tuning}};
}

}  // namespace

Range current_factor(std::string_view mode) {
  const double duty = safety::mode_duty(mode).factor;  // refuses what is no mode
  constexpr Range speech{0.35, 0.60};
  if (mode == "SSB") return speech;
  if (mode == "SSB processed") {
    const double louder = std::sqrt(duty / safety::mode_duty("SSB").factor);
    return {speech.low * louder, std::min(1.0, speech.high * louder)};
  }
  if (mode == "CW") return {0.45, 0.55};
  return {duty, duty};
}

OperatingTime operating_time(const Battery& battery, const SetDraw& set, const TunerDraw& tuner) {
  require_not_negative("the receive current", set.receive_a);
  require_not_negative("the transmit current", set.transmit_a);
  require(set.transmit_a > set.receive_a, "the transmit current must be above the receive current");
  require_within("the current factor of a mode", set.current_factor.low, 0.0, 1.0);
  require_within("the current factor of a mode", set.current_factor.high, set.current_factor.low, 1.0);
  require_within("the talk share", set.talk_share, 0.0, 1.0);
  require_not_negative("the tuner's hold current", tuner.hold_a);
  require_not_negative("the tuner's tune current", tuner.tune_a);
  require_not_negative("the tune time", tuner.tune_time_s);
  require_not_negative("the number of tunes an hour", tuner.tunes_per_h);
  require_within("the share of the transmit current during a tuning", tuner.carrier_share, 0.0, 1.0);
  require_within("the seconds of tuning in an hour", tuner.tunes_per_h * tuner.tune_time_s, 0.0, 3600.0);

  const auto middle = [](const Range& range) { return 0.5 * (range.low + range.high); };
  const auto times = [&](const TunerDraw& with) {
    const auto low = draws_of(set, with, set.current_factor.low), high = draws_of(set, with, set.current_factor.high);
    OperatingTime result;
    result.mean_current_range_a = {mean_current_a(low), mean_current_a(high)};
    result.mean_current_a = middle(result.mean_current_range_a);
    result.time_h = discharge_time_h(battery.capacity_ah, battery.rate_h, middle(battery.peukert_exponent),
                                     middle(battery.capacity_share), result.mean_current_a);
    result.time_range_h = {operating_time_h(battery, high).low, operating_time_h(battery, low).high};
    return result;
  };
  OperatingTime result = times(tuner);
  const OperatingTime without = times({});
  result.tuner_a = result.mean_current_a - without.mean_current_a;
  result.tuner_hold_a = tuner.hold_a;
  result.tuner_tuning_a = result.tuner_a - tuner.hold_a;
  result.tuner_charge_ah = charge_ah(result.tuner_a, result.time_h);
  result.time_lost_h = without.time_h - result.time_h;
  return result;
}

double charge_ah(double mean_current_a, double hours) {
  require_not_negative("the mean current", mean_current_a);
  require_not_negative("the hours", hours);
  return mean_current_a * hours;
}

}  // namespace stile::energy
