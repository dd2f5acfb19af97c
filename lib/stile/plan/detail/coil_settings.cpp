#include <stile/plan/detail/coil_settings.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include <fmt/core.h>

namespace stile::plan::detail {

namespace {

/// Conditions of each band that a tap serves, in words.
std::string serves(const std::vector<const CoilSetting*>& settings, std::size_t conditions) {
  std::vector<std::pair<std::string, std::vector<std::string>>> bands;
  for (const CoilSetting* s : settings) {
    if (bands.empty() || bands.back().first != s->band) bands.push_back({s->band, {}});
    std::vector<std::string>& names = bands.back().second;
    if (std::find(names.begin(), names.end(), s->condition) == names.end()) names.push_back(s->condition);
  }
  std::string text;
  for (const auto& [band, names] : bands) {
    text += (text.empty() ? "" : "; ") + band;
    if (names.size() == conditions) continue;
    for (std::size_t n = 0; n < names.size(); ++n) text += (n == 0 ? ": " : ", ") + names[n];
  }
  return text;
}

/// How far a setting is from holding: an SWR over the limit goes before a rating, as in the plan's own reason.
std::pair<double, double> how_far(const CoilSetting& s, const ConditionResult& c, double swr_limit) {
  if (!s.possible) return {network::infinite, 0.0};
  return {std::max(c.worst_swr, swr_limit), c.overloads.empty() ? 0.0 : c.overloads.front().factor};
}

/// Why a setting does not hold.
std::string fault_of(const CoilSetting& s, const ConditionResult& c, const station::Arrangement& a, double swr_limit) {
  if (!s.possible) return std::string(station::describe_kind(a.kind).cannot_be);
  if (c.worst_swr <= swr_limit && !c.overloads.empty()) return c.overloads.front().what;
  return s.swr < 100.0 ? fmt::format("SWR {:.3g}", s.swr) : "SWR over 100";
}

}  // namespace

bool counts(const std::vector<std::string>& conditions, const std::string& condition) {
  return conditions.empty() || std::find(conditions.begin(), conditions.end(), condition) != conditions.end();
}

double branch_current_a_rms(const ConditionResult& result, std::size_t element, double frequency_hz) {
  return result.evaluation.elements.at(element).voltage_v_peak /
         (std::sqrt(2.0) * std::abs(network::impedance(result.ladder.elements[element].part, frequency_hz)));
}

CoilSetting coil_setting(const station::Station& station, const station::Arrangement& arrangement,
                         const BandResult& band, const ConditionResult& c, std::size_t condition) {
  CoilSetting s;
  s.band = band.band.name;
  s.arrangement = arrangement.name;
  s.condition = c.condition;
  s.frequency_hz = band.band.design_hz;
  s.load_ohm = load::load_impedance(station::load_of(station, arrangement, condition), s.frequency_hz);
  s.possible = c.possible;
  if (!c.possible) return s;
  s.setting = c.setting;
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    const network::Element& e = c.ladder.elements[n];
    if (s.setting.feed_turns) break;
    if (s.setting.tap_turns.value_or(0.0) <= 0.0 || e.place != network::Place::series) continue;
    s.current_a_rms = branch_current_a_rms(c, n, s.frequency_hz);
  }
  s.wound = coil_element(s.setting);
  for (std::size_t n = 0; n < s.setting.elements.size(); ++n) {
    if (!s.setting.feed_turns && s.wound != n) s.beside.push_back(s.setting.elements[n]);
  }
  s.swr = c.worst_swr;
  s.loss_db = c.worst_loss_db;
  s.holds = c.worst_swr <= station.transmitter.swr_limit && c.overloads.empty() && std::isfinite(c.worst_loss_db);
  s.bandwidth = c.bandwidth;
  s.load_voltage_v_peak = c.load_voltage_v_peak;
  return s;
}

coil::CoilRatings rated(const CoilSetting& setting, const coil::CoilModel& model, coil::Service service) {
  service.current_a_rms = setting.current_a_rms;
  return coil::rate(model, setting.point.value(), service);
}

void WorstFault::take(const CoilSetting& s, const ConditionResult& c, const station::Arrangement& a,
                      const std::string& unmade) {
  if (c.role != station::Role::normal) return;
  std::pair<double, double> far{network::infinite, network::infinite};
  std::string fault = unmade;
  if (unmade.empty()) {
    far = how_far(s, c, swr_limit_);
    fault = fault_of(s, c, a, swr_limit_);
  }
  if (!text_.empty() && far <= farthest_) return;
  farthest_ = far;
  text_ = fmt::format("{}: {} in \"{}\"", s.arrangement, fault, s.condition);
}

std::vector<CoilTap> taps_of(const std::vector<CoilSetting>& settings, std::size_t conditions) {
  struct Serves {
    std::vector<const CoilSetting*> antenna, transmitter;
  };
  std::map<double, Serves> by_turns;
  for (const CoilSetting& s : settings) {
    if (!s.wound || !s.reached) continue;
    by_turns[*s.setting.tap_turns].antenna.push_back(&s);
    if (s.setting.feed_turns) by_turns[*s.setting.feed_turns].transmitter.push_back(&s);
  }
  std::vector<CoilTap> taps;
  taps.reserve(by_turns.size());
  for (const auto& [turns, list] : by_turns) {
    std::string text = serves(list.antenna, conditions);
    if (!list.transmitter.empty())
      text += (text.empty() ? "" : "; ") + ("transmitter on " + serves(list.transmitter, conditions));
    taps.push_back({turns, std::move(text)});
  }
  return taps;
}

}  // namespace stile::plan::detail
