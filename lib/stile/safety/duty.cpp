#include <stile/safety/duty.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>

namespace stile::safety {

const std::vector<ModeDuty>& mode_duties() {
  static const std::string table = "FCC OET Bulletin 65 Supplement B (Edition 97-01), 1997, Table 2";
  static const std::string seen = "official text seen";
  static const std::vector<ModeDuty> modes{{"SSB", 0.2, seen, table + ", conversational, no speech processing"},
                                           {"SSB processed", 0.5, seen, table + ", conversational, heavy processing"},
                                           {"FM", 1.0, seen, table},
                                           {"RTTY", 1.0, seen, table},
                                           {"FSK", 1.0, seen, table},
                                           {"AFSK", 1.0, seen, table},
                                           {"CW", 0.4, seen, table + ", conversational"},
                                           {"carrier", 1.0, seen, table + ", also of tuning"},
                                           {"slotted digital", 0.5, "common practice", "one slot in two"}};
  return modes;
}

const ModeDuty& mode_duty(std::string_view name) {
  std::vector<std::string> names;
  for (const ModeDuty& m : mode_duties()) {
    if (m.name == name) return m;
    names.push_back(m.name);
  }
  throw DomainError(fmt::format("there is no mode \"{}\"; legal: {}", name, fmt::join(names, ", ")));
}

double worst_on_s(double over_s, double pause_s, double window_s) {
  require(std::isfinite(over_s) && over_s > 0.0, "over_s must be > 0");
  require(std::isfinite(pause_s) && pause_s >= 0.0, "pause_s must be >= 0");
  require(std::isfinite(window_s) && window_s > 0.0, "window_s must be > 0");
  // A window that starts with an over has as much of it as any.
  const double cycle = over_s + pause_s, whole = std::floor(window_s / cycle);
  return whole * over_s + std::min(over_s, window_s - whole * cycle);
}

namespace {

void check_carrier(double length_s, double every_s) {
  if (!(std::isfinite(length_s) && length_s >= 0.0))
    throw DomainError(fmt::format("a tune carrier of {:.4g} s must be >= 0", length_s));
  if (!(std::isfinite(every_s) && every_s > 0.0 && length_s <= every_s))
    throw DomainError(
        fmt::format("tune carriers of {:.4g} s every {:.4g} s: legal: from one to the next > 0 and no less than "
                    "the carrier's length",
                    length_s, every_s));
}

}  // namespace

double mean_power_share(const Duty& duty, double averaging_s) {
  const double factor = mode_duty(duty.mode).factor;
  if (!(duty.talk_share > 0.0 && duty.talk_share <= 1.0))
    throw DomainError(fmt::format("a share of talk of {:.4g} must be above 0 and at most 1", duty.talk_share));
  if (!(std::isfinite(duty.over_s) && duty.over_s > 0.0))
    throw DomainError(fmt::format("an over of {:.4g} s must be > 0", duty.over_s));
  check_carrier(duty.tune_s, duty.tune_every_s);
  check_carrier(duty.tuner_s, duty.tuner_every_s);
  require(std::isfinite(averaging_s) && averaging_s >= 0.0, "averaging_s must be >= 0");
  if (averaging_s == 0.0) return 1.0;
  const double pause_s = duty.over_s * (1.0 - duty.talk_share) / duty.talk_share;
  const double carriers_s = duty.tune_s * std::ceil(averaging_s / duty.tune_every_s) +
                            duty.tuner_s * std::ceil(averaging_s / duty.tuner_every_s);
  const double tune_s = std::min(carriers_s, averaging_s);
  const double talk_s = std::min(worst_on_s(duty.over_s, pause_s, averaging_s), averaging_s - tune_s);
  return (tune_s + factor * talk_s) / averaging_s;
}

std::string tune_words(const Duty& duty) {
  std::string words;
  if (duty.tune_s > 0.0)
    words += fmt::format(", with a tune carrier of {:.4g} s every {:.4g} s", duty.tune_s, duty.tune_every_s);
  if (duty.tuner_s > 0.0)
    words += fmt::format(", with the tuner's carrier of {:.4g} s every {:.4g} s", duty.tuner_s, duty.tuner_every_s);
  return words;
}

std::string duty_words(const Duty& duty) {
  const ModeDuty& mode = mode_duty(duty.mode);
  return fmt::format("{} (factor {:g}, {}), transmitting {:g} of the time in overs of {:g} s{}", duty.mode, mode.factor,
                     mode.status, duty.talk_share, duty.over_s, tune_words(duty));
}

double average_power_w(double pep_w, double factor, double on_s, double window_s) {
  require(std::isfinite(pep_w) && pep_w > 0.0, "pep_w must be > 0");
  require(factor >= 0.0 && factor <= 1.0, "factor must be 0..1");
  require(std::isfinite(window_s) && window_s > 0.0 && on_s >= 0.0 && on_s <= window_s, "on_s must be 0..window_s");
  return pep_w * factor * on_s / window_s;
}

}  // namespace stile::safety
