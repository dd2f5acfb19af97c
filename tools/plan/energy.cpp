#include "plan/energy.hpp"

#include <algorithm>
#include <vector>

#include <fmt/core.h>

#include <stile/plan/operating_times.hpp>

#include "cli/table.hpp"

namespace stile::tools {

namespace {

/// Some tuner says what becomes of its setting without supply.
bool tells_latching(const station::Station& station) {
  return std::any_of(station.arrangements.begin(), station.arrangements.end(),
                     [](const station::Arrangement& a) { return a.latching.has_value(); });
}

/// What the tuner takes between two tunings; latching relays take nothing.
std::string held_text(const station::Arrangement& arrangement, const energy::OperatingTime& time) {
  if (!station::describe_kind(arrangement.kind).automatic) return "-";
  return time.tuner_hold_a > 0.0 ? fmt::format("{:.3f} A", time.tuner_hold_a) : "nothing";
}

}  // namespace

std::string energy_note(const station::Station& station) {
  const station::Supply& supply = *station.supply;
  const std::string cut_off = supply.cut_off_v ? fmt::format(" down to {:.4g} V", *supply.cut_off_v) : "";
  return fmt::format(
      "{:.4g} Ah {} at {:.3g} degrees C{}, of which {:.0f} % to {:.0f} % can be had; {}, talking {:.3g} % of the time. "
      "First by "
      "Peukert's law on the mean current; in brackets from a battery that does not recover in pauses, in the cold and "
      "with the "
      "mode's greater current, to one that does. What a tuner costs is against the same without one; the Ah are those "
      "of these hours, its currents means over all the time. What cold and cut-off leave is from memory: measure your "
      "own.",
      supply.battery.capacity_ah, energy::describe_chemistry(supply.battery.chemistry).name, supply.temperature_c,
      cut_off, 100.0 * supply.battery.capacity_share.low, 100.0 * supply.battery.capacity_share.high,
      station.mode->mode, 100.0 * supply.set.talk_share);
}

std::vector<std::vector<std::string>> energy_rows(const station::Station& station) {
  std::vector<std::vector<std::string>> rows{
      {"", "mean current", "hours", "", "tuner costs", "and takes", "held", "to tune", "1 Ah more", "1 kg more"}};
  if (tells_latching(station)) rows.front().push_back("supply fails");
  for (const plan::ArrangementTime& t : plan::operating_times(station)) {
    rows.push_back({station.arrangements[t.arrangement].name,
                    fmt::format("{:.3f} A ({:.3f} to {:.3f})", t.time.mean_current_a, t.time.mean_current_range_a.low,
                                t.time.mean_current_range_a.high),
                    fmt::format("{:.1f} h", t.time.time_h),
                    fmt::format("({:.1f} to {:.1f})", t.time.time_range_h.low, t.time.time_range_h.high),
                    t.time.tuner_a > 0.0 ? fmt::format("{:.0f} min", 60.0 * t.time.time_lost_h) : "-",
                    t.time.tuner_a > 0.0 ? fmt::format("{:.2f} Ah", t.time.tuner_charge_ah) : "-",
                    held_text(station.arrangements[t.arrangement], t.time),
                    t.time.tuner_a > 0.0 ? fmt::format("{:.3f} A", t.time.tuner_tuning_a) : "-",
                    fmt::format("{:.1f} to {:.1f} h", t.gain.hours_per_ah.low, t.gain.hours_per_ah.high),
                    fmt::format("{:.1f} to {:.1f} h", t.gain.hours_per_kg.low, t.gain.hours_per_kg.high)});
    const station::Arrangement& a = station.arrangements[t.arrangement];
    if (tells_latching(station))
      rows.back().push_back(!a.latching ? "-" : *a.latching ? "stays set" : "loses its setting");
  }
  return rows;
}

std::string energy_text(const station::Station& station) {
  if (!station.supply) return "";
  return "Operating time\n" + wrapped(energy_note(station), 0, 110) + aligned(energy_rows(station)) + "\n";
}

Json energy_json(const station::Station& station) {
  Json all = Json::array();
  for (const plan::ArrangementTime& t : plan::operating_times(station)) {
    all.push_back({{"arrangement", station.arrangements[t.arrangement].name},
                   {"mean_current_a", t.time.mean_current_a},
                   {"mean_current_range_a", {t.time.mean_current_range_a.low, t.time.mean_current_range_a.high}},
                   {"operating_time_h", t.time.time_h},
                   {"operating_time_range_h", {t.time.time_range_h.low, t.time.time_range_h.high}},
                   {"tuner_current_a", t.time.tuner_a},
                   {"tuner_hold_a", t.time.tuner_hold_a},
                   {"tuner_tuning_a", t.time.tuner_tuning_a},
                   {"tuner_charge_ah", t.time.tuner_charge_ah},
                   {"tuner_costs_h", t.time.time_lost_h},
                   {"hours_per_ah", {t.gain.hours_per_ah.low, t.gain.hours_per_ah.high}},
                   {"hours_per_kg", {t.gain.hours_per_kg.low, t.gain.hours_per_kg.high}}});
    const std::optional<bool>& latching = station.arrangements[t.arrangement].latching;
    all.back()["stays_set_without_supply"] = latching ? Json(*latching) : Json(nullptr);
  }
  return all;
}

Json battery_json(const station::Station& station) {
  if (!station.supply) return nullptr;
  const station::Supply& supply = *station.supply;
  const energy::Battery& b = supply.battery;
  return {{"chemistry", std::string(energy::describe_chemistry(b.chemistry).name)},
          {"capacity_ah", b.capacity_ah},
          {"rate_h", b.rate_h},
          {"peukert_exponent", {b.peukert_exponent.low, b.peukert_exponent.high}},
          {"temperature_c", supply.temperature_c},
          {"cut_off_v", supply.cut_off_v ? Json(*supply.cut_off_v) : Json(nullptr)},
          {"capacity_share", {b.capacity_share.low, b.capacity_share.high}},
          {"mode", station.mode->mode},
          {"talk_share", supply.set.talk_share}};
}

std::string energy_csv(const station::Station& station) {
  std::string text;
  if (station.supply) {
    const station::Supply& supply = *station.supply;
    const energy::Battery& b = supply.battery;
    text += fmt::format(
        "# battery: {} Ah {} at {} h, exponent {} to {}, {} C, cut off at {}, of the capacity {} to {} can be had; "
        "{}, talking {} of the time\n",
        b.capacity_ah, energy::describe_chemistry(b.chemistry).name, b.rate_h, b.peukert_exponent.low,
        b.peukert_exponent.high, supply.temperature_c,
        supply.cut_off_v ? fmt::format("{} V", *supply.cut_off_v) : "its end", b.capacity_share.low,
        b.capacity_share.high, station.mode->mode, supply.set.talk_share);
  }
  for (const plan::ArrangementTime& t : plan::operating_times(station)) {
    text += fmt::format("# operating time, {}: {} h ({} to {} h) at {} A\n", station.arrangements[t.arrangement].name,
                        t.time.time_h, t.time.time_range_h.low, t.time.time_range_h.high, t.time.mean_current_a);
    text += fmt::format("# energy, {}: {} to {} A; the tuner takes {} A of it, {} A held, {} A to tune, {} Ah in that "
                        "time, and costs {} h; 1 Ah more buys {} to {} h, 1 kg more {} to {} h\n",
                        station.arrangements[t.arrangement].name, t.time.mean_current_range_a.low,
                        t.time.mean_current_range_a.high, t.time.tuner_a, t.time.tuner_hold_a, t.time.tuner_tuning_a,
                        t.time.tuner_charge_ah, t.time.time_lost_h, t.gain.hours_per_ah.low, t.gain.hours_per_ah.high,
                        t.gain.hours_per_kg.low, t.gain.hours_per_kg.high);
    if (const std::optional<bool>& latching = station.arrangements[t.arrangement].latching)
      text += fmt::format("# without supply, {}: {}\n", station.arrangements[t.arrangement].name,
                          *latching ? "stays set" : "loses its setting");
  }
  return text;
}

}  // namespace stile::tools
