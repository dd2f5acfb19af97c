#include <stile/energy/operating.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>

namespace stile::energy {
namespace {

constexpr std::string_view follows_amplitude = "derived: current follows amplitude, so the range of plain speech times "
                                               "sqrt(40 %/20 %), the power duties of FCC OET "
                                               "Bulletin 65 Supplement B, 1997";
constexpr std::array modes{
    TalkMode{"SSB", {0.35, 0.60}, "common practice, class AB with its idling current"},
    TalkMode{"SSB processed", {0.49, 0.85}, follows_amplitude},
    TalkMode{"CW", {0.45, 0.55}, "common practice, key-down fraction of plain text"},
    TalkMode{"FM", {1.0, 1.0}, "a carrier"},
    TalkMode{"RTTY", {1.0, 1.0}, "a carrier"},
    TalkMode{"AFSK", {1.0, 1.0}, "a carrier"},
    TalkMode{"slot digital", {1.0, 1.0}, "a carrier in its slot; count only the slots as talk"},
    TalkMode{"carrier", {1.0, 1.0}, "a carrier"},
};

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

std::span<const TalkMode> talk_modes() { return modes; }

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

  const auto times = [&](const TunerDraw& with) {
    const auto low = draws_of(set, with, set.current_factor.low), high = draws_of(set, with, set.current_factor.high);
    OperatingTime result;
    result.mean_current_a = {mean_current_a(low), mean_current_a(high)};
    result.time_h = {operating_time_h(battery, high).low, operating_time_h(battery, low).high};
    return result;
  };
  OperatingTime result = times(tuner);
  const OperatingTime without = times({});
  const auto middle = [](const Range& range) { return 0.5 * (range.low + range.high); };
  result.tuner_a = middle(result.mean_current_a) - middle(without.mean_current_a);
  result.time_lost_h = middle(without.time_h) - middle(result.time_h);
  return result;
}

}  // namespace stile::energy
